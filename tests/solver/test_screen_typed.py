"""What can be said as soon as a number is typed, and what slip explains it."""

from __future__ import annotations

import numpy as np
import pytest

from solver.closure import Closure
from solver.slips import decimals, explain
from solver.typed import beyond_range, implausible, implied_resolution, off_resolution, reach


def test_range() -> None:
    assert beyond_range(np.array([150.0, -150.0, 150.01, -200.0]), 150.0).tolist() == [
        False,
        False,
        True,
        True,
    ]


@pytest.mark.parametrize(
    ("resolution", "good", "bad"),
    [
        (0.01, [0.31, -1234.57, 0.0, 0.1 + 0.2], [0.315, 1.001]),
        (0.02, [0.02, 5.68], [0.01]),
        (0.5, [1.5], [1.2]),
    ],
)
def test_resolution(resolution: float, good: list[float], bad: list[float]) -> None:
    assert not off_resolution(np.array(good), resolution).any()
    assert off_resolution(np.array(bad), resolution).all()


def test_resolution_that_the_numbers_imply() -> None:
    assert implied_resolution(np.array([1.0, 0.31, 2.5])) == 0.01
    assert implied_resolution(np.array([3.0, 4.0])) == 1.0
    assert implied_resolution(np.array([np.pi])) is None


def test_reach_of_the_tolerances() -> None:
    assert reach(Closure(12), 0.2, 0.3) == pytest.approx(0.5)
    assert reach(Closure(12, reading="interval"), 0.2, 0.3) == pytest.approx(1.0)
    assert reach(Closure(12, kind="single", reading="interval"), 0.2, 0.3) == pytest.approx(0.4)


def found(closure: Closure, value: list[float], allowed: float, noise: float = 0.0) -> list[int]:
    count = len(value)
    here = implausible(closure, np.zeros(count, dtype=int), np.array(value), np.arange(count), allowed, noise)
    return sorted(here)


def test_tolerances_hold_about_whatever_a_run_shares() -> None:
    assert found(Closure(12), [5.0, 5.9, 5.4], 0.5) == []
    assert found(Closure(12), [5.0, 5.1, -5.2, 5.4], 0.5) == [2]
    assert found(Closure(12), [5.0, 6.1], 0.5) == [1]
    assert found(Closure(12), [5.0, 6.1], 0.5, noise=0.05) == []
    assert found(Closure(12, reading="interval"), [0.9, -1.1], 1.0) == [1]
    assert found(Closure(12), [5.0], 0.5) == []


@pytest.mark.parametrize(
    ("typed", "predicted", "name", "value"),
    [
        (-0.31, 0.30, "sign", 0.31),
        (15.2, 1.54, "decimal", 1.52),
        (152.0, 1.50, "decimal", 1.52),
        (0.152, 1.50, "decimal", 1.52),
        (5.12, 1.49, "digits", 1.52),
        (3.74, 3.50, "digits", 3.47),
        (2.41, 24.11, "decimal", 24.1),
        (1.45, 12.47, "dropped digit", 12.45),
        (22.47, 2.49, "doubled digit", 2.47),
        (-33.47, -3.49, "doubled digit", -3.47),
    ],
)
def test_slips(typed: float, predicted: float, name: str, value: float) -> None:
    slip = explain(typed, predicted, 0.03, resolution=0.01)
    assert slip is not None
    assert (slip.name, slip.value) == (name, pytest.approx(value, abs=1e-9))
    assert 0.5 < slip.probability <= 1


def test_a_digit_lost_in_typing_shows_in_the_text() -> None:
    """3.5 for 3.25: swapped digits would have been typed 3.52, so 3.5 is no swap."""
    slip = explain(3.5, 3.24, 0.01, resolution=0.01, text="3.5")
    assert slip is not None
    assert (slip.name, slip.value) == ("dropped digit", 3.25)


def test_the_value_of_the_neighbour() -> None:
    slip = explain(3.87, 3.20, 0.03, resolution=0.01, neighbours=[(3.86, 0.03), (2.9, 0.03)])
    assert slip is not None
    assert (slip.name, slip.value) == ("neighbour", 3.20)


def test_nothing_is_offered_for_an_error_that_no_slip_explains() -> None:
    assert explain(3.87, 3.20, 0.02, resolution=0.01) is None


def test_nothing_is_offered_when_nearly_anything_would_fit() -> None:
    """Predicted so badly that many slips fit by luck, none of them likelier than not."""
    assert explain(3.7, 6.0, 1.5, resolution=0.1) is None
    assert explain(3.7, np.nan, 1.5) is None
    assert explain(3.7, 6.0, np.nan) is None


def test_few_errors_of_any_size_are_explained_by_luck() -> None:
    rng = np.random.default_rng(1)
    lucky = 0
    for _ in range(600):
        good = round(4 + rng.normal() * 0.4, 2)
        typed = round(good + rng.choice([-1, 1]) * np.exp(rng.uniform(np.log(0.3), np.log(9))), 2)
        lucky += explain(typed, good + rng.normal() * 0.034, 0.034, resolution=0.01) is not None
    assert lucky < 72


def test_decimals() -> None:
    assert [decimals(each) for each in (1.0, 0.5, 0.02, 0.001, 10.0)] == [0, 1, 2, 3, 0]
