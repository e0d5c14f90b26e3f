"""How likely a slip is said to be, and slips in which digits are lost.

Source: Bayes' rule over the slips that fit and an error without a name; how common each is, is
judgement, from no source.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from solver.flags import Limits
from solver.slips import COMMON, LOST, UNEXPLAINED, explain
from tests.solver.invented import COMPLETE, session


def against_no_name(weight: float, typed: float, predicted: float) -> float:
    """Return the probability of a slip of some weight against an error as large as the one that was made."""
    return weight / (weight + UNEXPLAINED / (2 * abs(typed - predicted)))


def test_a_slip_is_as_likely_as_it_is_common_and_fits() -> None:
    slip = explain(-3.87, 3.82, 0.03, resolution=0.01)
    weight = COMMON["sign"] * stats.norm(3.82, 0.03).pdf(3.87)
    assert slip is not None
    assert (slip.name, slip.value) == ("sign", 3.87)
    assert slip.probability == pytest.approx(against_no_name(weight, -3.87, 3.82), rel=1e-9)


def test_the_neighbours_share_how_common_it_is_to_read_one_of_them() -> None:
    """Of three neighbours one is far off and one not known."""
    slip = explain(
        3.87, 6.2, 0.03, resolution=0.01, neighbours=[(3.83, 0.04), (2.9, 0.04), (float("nan"), 0.04)]
    )
    weight = COMMON["neighbour"] / 3 * stats.norm(3.83, 0.04).pdf(3.87)
    assert slip is not None
    assert (slip.name, slip.value) == ("neighbour", 6.2)
    assert slip.probability == pytest.approx(against_no_name(weight, 3.87, 6.2), rel=1e-9)
    assert explain(3.87, 6.2, 0.03, resolution=0.01, neighbours=[(3.87 - 0.13, 0.04)]) is None


@pytest.mark.parametrize(
    ("typed", "predicted", "value"),
    [(0.15, 15.23, 15.23), (1.5, 15.06, 15.05), (1.5, 14.96, 14.96), (-1.5, -15.06, -15.05)],
)
def test_a_point_too_far_left_loses_digits_that_the_prediction_gives_back(
    typed: float, predicted: float, value: float
) -> None:
    """0.15 for 15.23: what was meant lies between 14.5 and 15.5; 1.5 for 15.05: between 14.95 and 15.05."""
    slip = explain(typed, predicted, 0.01, resolution=0.01, text=str(typed))
    assert slip is not None
    assert (slip.name, slip.value) == ("decimal", pytest.approx(value, abs=1e-9))


def test_lost_digits_are_as_likely_as_a_value_anywhere_in_what_they_leave_open() -> None:
    slip = explain(0.15, 15.23, 0.03, resolution=0.01, text="0.15")
    width = np.hypot(0.03, 0.5 / np.sqrt(3))
    weight = COMMON["decimal"] * LOST * stats.norm(15.23, width).pdf(15.0)
    assert slip is not None
    assert slip.probability == pytest.approx(against_no_name(weight, 0.15, 15.23), rel=1e-9)


def test_no_figure_before_the_point() -> None:
    slip = explain(0.31, 1.30, 0.03, resolution=0.01, text=".31")
    assert slip is not None
    assert (slip.name, slip.value) == ("dropped digit", pytest.approx(1.31))


def test_a_key_struck_twice_leaves_two_figures_side_by_side() -> None:
    """-7.70 is -0.77 with its point moved: its two sevens stand on either side of the point."""
    for deviation in (0.02, 0.1, 0.3):
        slip = explain(-7.70, -0.75, deviation, resolution=0.01)
        assert slip is not None
        assert (slip.name, slip.value) == ("decimal", -0.77)
    doubled = explain(7.99, 7.9, 0.02, resolution=0.1)
    assert doubled is None or doubled.value == 7.9


def test_what_was_meant_has_no_more_digits_than_the_readings_are_typed_with() -> None:
    """Typed to 0.01 throughout and no resolution stated: 0.789 is nothing that anybody meant."""
    rng = np.random.default_rng(5)
    for place in range(2, 30):
        given = session(rng, COMPLETE)
        typed = given.readings.typed
        for flag in given.typed(place, round(typed[place] + 0.9, 2)).screened(Limits()).flags:
            assert flag.suggested_typed is None or round(flag.suggested_typed, 2) == flag.suggested_typed
