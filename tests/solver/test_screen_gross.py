"""Gross slips of the digits in the first run, which no other run checks: seen at once, and never in a sound run."""

from __future__ import annotations

import numpy as np
import pytest

from solver.adjust import adjust
from solver.cells import gather
from solver.closure import Closure
from solver.flags import Flag, Readings
from solver.screen import screen


def flags(typed: list[float], closure: Closure | None = None) -> tuple[Flag, ...]:
    """Screen the first readings of run 0, with nothing known beforehand."""
    closure, count = closure or Closure(12), len(typed)
    run, step = np.zeros(count, dtype=np.int64), np.arange(count)
    value = np.array(typed)
    cells = gather(run, step, value)
    readings = Readings(run, step, value, np.arange(1, count + 1), np.zeros(count, dtype=bool))
    offset = np.array([0, 1, 4])
    return screen(adjust(closure, offset, cells), offset, cells, readings).flags


@pytest.mark.parametrize(
    ("typed", "suggestion", "meant"),
    [
        ([2.10, 2.39, 2.22, 2.31, 233.0], "decimal", 2.33),
        ([2.10, 2.39, 2.22, 2.31, 22.3], "decimal", 2.23),
        ([2.10, 2.39, 2.22, 2.31, 2.2, 2.05, 2.41, 2.3, 2.26, 2.18, -2.3], "sign", 2.3),
    ],
)
def test_a_slip_of_the_digits_is_seen_in_the_first_run(
    typed: list[float], suggestion: str, meant: float
) -> None:
    [found] = flags(typed)
    assert (found.entry, found.test, found.suggestion) == (len(typed), "residual", suggestion)
    assert found.suggested_typed == pytest.approx(meant)
    assert found.weight > 1


def test_it_is_seen_wherever_it_stands_and_so_are_two() -> None:
    assert [flag.entry for flag in flags([233.0, 2.10, 2.39, 2.22, 2.31])] == [1]
    found = flags([2.10, 233.0, 2.39, 2.22, 2.31, 219.0, 2.28, 2.2])
    assert sorted(flag.entry for flag in found) == [2, 6]


def test_two_of_few_hide_each_other_and_nothing_sound_is_accused() -> None:
    assert not {flag.entry for flag in flags([2.10, 233.0, 2.39, 219.0, 2.28])} & {1, 3, 5}


@pytest.mark.parametrize("bad", [0.0, 1.0, 5.0])
def test_no_sound_run_is_accused_even_with_one_bad_tooth(bad: float) -> None:
    """A tooth as bad as five times the others is an error of the circle, not a slip."""
    rng = np.random.default_rng(20260302)
    for _ in range(400):
        count = int(rng.integers(4, 13))
        errors = rng.normal(0, 0.1, count) + np.cumsum(rng.normal(0, 0.02, count))
        errors[rng.integers(count)] += bad * 0.1
        assert not flags(list(np.round(rng.uniform(-10, 10) + errors, 2)))


def pairs(*typed: tuple[float, float]) -> tuple[Flag, ...]:
    """Screen the first pairs of run 0, with nothing known beforehand."""
    value = np.array(typed).ravel()
    run, step = np.zeros(len(value), dtype=np.int64), np.repeat(np.arange(len(typed)), 2)
    cells = gather(run, step, value)
    readings = Readings(run, step, value, np.arange(1, len(value) + 1), np.zeros(len(value), dtype=bool))
    offset = np.array([0, 1, 4])
    return screen(adjust(Closure(12), offset, cells), offset, cells, readings).flags


@pytest.mark.parametrize(
    ("pair", "slip"),
    [
        ((13.10, 1.31), "decimal"),
        ((1.31, 13.10), "decimal"),
        ((-1.31, 1.31), "sign"),
        ((0.0131, 1.31), "decimal"),
    ],
)
def test_a_repeat_that_is_the_other_with_its_sign_or_point_wrong(
    pair: tuple[float, float], slip: str
) -> None:
    """From the first cell on; which of the two is bad nothing tells yet."""
    for given in ((pair,), ((1.00, 1.02), pair)):
        [found] = pairs(*given)
        assert (found.test, found.suggestion, found.step) == ("repeats", slip, len(given) - 1)
        assert (found.entry, found.others) == (2 * len(given), (2 * len(given) - 1,))
        assert (found.value, found.predicted) == (pair[1], pair[0])


def test_pairs_that_only_scatter_are_left_alone() -> None:
    assert not pairs((1.00, 1.02), (0.62, 0.63), (1.20, 1.47))
    assert not pairs((-0.05, 0.05))
    assert not pairs((1.31, -1.10))
    # Other pairs are as wide.
    assert not pairs((1.31, -1.31), (0.2, 1.9))


def test_two_cells_whose_repeats_are_equal_make_no_other_stand_out() -> None:
    """Rounded to the same digit repeats have no scatter, beside which any other would be all there is."""
    assert not pairs((1.00, 1.00), (0.62, 0.65))
    assert not pairs((1.00, 1.00), (0.62, 0.62), (0.62, 0.66))


def test_noise_about_zero_is_seldom_taken_for_slips() -> None:
    """Intervals whose noise is as large as what is read: of 300 first cells, few pairs are mirrored."""
    rng = np.random.default_rng(20260302)
    accused = 0
    for _ in range(300):
        drawn = np.round(rng.normal(0, 0.3, (3, 1)) + rng.normal(0, 0.3, (3, 2)), 2)
        accused += any(bool(pairs(*drawn[:count])) for count in (1, 2, 3))
    assert accused <= 15
