"""Where the tests of screening begin to speak, where they stop, and which of several is reported.

Source: tolerances and what they allow, design document, sections 2 and 3 (algebra); the F test of a variance against an
accepted one, scipy.stats (recomputed).
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from solver.adjust import adjust
from solver.cells import gather
from solver.closure import Closure
from solver.deleted import Accepted
from solver.flags import Flag, Limits, Readings
from solver.screen import screen
from solver.typed import implausible
from tests.solver.invented import COMPLETE
from tests.solver.test_screen import LIMITS, UNKNOWN, drawn, only, reasons, turned

TOLERANCES = replace(LIMITS, accepted=None)

#: Two readings of a run lie no further apart than twice the tolerances of both circles.
APART = 2 * (0.8 + 0.8)


@pytest.mark.parametrize("reading", [0, 5, 12])
def test_tolerances_speak_until_a_scatter_is_known(reading: int) -> None:
    """The misfit of the only closed run is all the scatter there is: it says nothing of the two ends."""
    screening = turned(drawn().first(13), reading).screened(TOLERANCES)
    flag = only(screening)
    assert (flag.test, flag.entry, flag.suggestion) == ("tolerance", reading + 1, "sign")
    assert flag.critical == pytest.approx(APART, rel=1e-12)
    # Half of what the tolerances allow a reading is the deviation that a slip is judged by (judgement, no source).
    assert flag.deviation == pytest.approx(APART / 4)
    assert reasons(screening)["residual"].startswith("the scatter is not known")
    assert reasons(screening)["closing"].startswith("the scatter is not known")


def test_tolerances_allow_four_deviations_of_the_difference_of_two_readings() -> None:
    flag = only(turned(drawn().first(8), 5).screened(LIMITS))
    assert flag.critical == pytest.approx(APART + 4 * np.sqrt(2) * 0.03, rel=1e-12)
    screening = turned(drawn(3, (0, 0, 1)).first(34), 30).screened(TOLERANCES)
    (flag,) = [each for each in screening.flags if each.test == "tolerance"]
    assert flag.entry == 31
    assert 0.01 < screening.deviation < 0.06
    assert flag.critical == pytest.approx(APART + 4 * np.sqrt(2) * screening.deviation, rel=1e-12)


def test_what_is_said_of_a_reading_out_of_tolerance_is_how_far_it_lies_from_the_furthest_other() -> None:
    value, number = np.array([5.0, 5.1, -5.2, 5.4]), np.arange(4)
    found = implausible(Closure(12), np.zeros(4, dtype=int), value, number, 0.5, 0.0)
    assert found == {2: (pytest.approx(10.6), 1.0)}


def test_an_interval_alone_has_nothing_to_be_predicted_by() -> None:
    given = drawn(3, reading="interval").first(1).typed(0, -3.7)
    flag = only(given.screened(LIMITS))
    assert (flag.test, flag.statistic, flag.predicted, flag.suggestion) == ("tolerance", 3.7, None, None)
    assert flag.critical == pytest.approx(APART + 4 * 0.03, rel=1e-12)


@pytest.mark.parametrize("resolution", [None, 0.01])
def test_repeats_may_differ_by_a_last_digit_and_no_more(resolution: float | None) -> None:
    given = drawn(1, repeats=3, within=0.0005, resolution=resolution)
    typed = given.readings.typed
    assert given.screened(UNKNOWN).flags == ()
    if resolution:
        assert given.typed(50, round(typed[50] + 0.01, 2)).screened(UNKNOWN).flags == ()
    flag = only(given.typed(50, typed[50] + 0.1).screened(UNKNOWN))
    assert (flag.test, flag.entry) == ("repeats", 51)


def test_a_reading_is_reported_once_by_the_test_that_explains_it_else_by_the_heavier() -> None:
    """Both readings of a cell off, and unequally: its repeats disagree, and the other cells do not bear it out."""
    given = drawn(6, COMPLETE, repeats=2, within=0.01)
    typed = given.readings.typed

    def off(first: float, second: float) -> Flag:
        return only(given.typed([60, 61], typed[[60, 61]] + [first, second]).screened(UNKNOWN))

    assert (off(1.0, 0.0).test, off(1.0, 0.0).suggestion) == ("repeats", None)
    assert (off(3.2, 3.0).test, off(3.2, 3.0).suggestion) == ("residual", None)
    explained = off(1.1, 1.0)
    assert (explained.test, explained.suggestion) == ("repeats", "dropped digit")
    assert explained.weight < off(1.0, 1.0).weight


@pytest.mark.parametrize("accepted_freedom", [20.0, np.inf])
@pytest.mark.parametrize("seed", [3, 8])
def test_an_accepted_deviation_is_contradicted_at_one_percent_two_sided(
    accepted_freedom: float, seed: int
) -> None:
    given = drawn(seed)
    own = given.screened(UNKNOWN)
    assert own.flags == ()
    known = stats.chi2(own.freedom).isf([0.005, 0.995]) / own.freedom
    estimated = stats.f(own.freedom, 20.0).isf([0.005, 0.995])
    high, low = known if np.isinf(accepted_freedom) else estimated
    for ratio, contradicted in [
        (high * 1.002, True),
        (high / 1.002, False),
        (low / 1.002, True),
        (low * 1.002, False),
    ]:
        limits = Limits(accepted=Accepted(float(own.deviation / np.sqrt(ratio)), accepted_freedom))
        assert given.screened(limits).contradicted == contradicted


@pytest.mark.parametrize("repeats", [2, 3, 4])
def test_what_a_reading_is_predicted_by_its_repeats(repeats: int) -> None:
    given = drawn(6, COMPLETE, repeats=repeats, within=0.01, resolution=None).first(6 * repeats)
    bad = 6 * repeats - 1
    given = given.typed(bad, given.readings.typed[bad] + 0.37)
    typed = given.readings.typed
    flag = only(given.screened(Limits(accepted_reading=Accepted(0.01))))
    others = typed[5 * repeats : bad]
    assert (flag.test, flag.entry, flag.value) == ("repeats", bad + 1, typed[bad])
    assert flag.predicted == pytest.approx(others.mean())
    assert flag.deviation == pytest.approx(0.01 * np.sqrt(1 + 1 / len(others)))


def test_repeats_alone_are_judged_by_the_scatter_of_the_others() -> None:
    """The first cell, no accepted deviation: Grubbs' test of the cell, the reading against the other readings."""
    given = drawn(6, COMPLETE, repeats=6, within=0.01, resolution=None).first(6)
    given = given.typed(2, given.readings.typed[2] + 1.37)
    others = np.delete(given.readings.typed, 2)
    flag = only(given.screened(UNKNOWN))
    assert (flag.test, flag.entry) == ("repeats", 3)
    assert flag.predicted == pytest.approx(others.mean())
    assert flag.deviation == pytest.approx(others.std(ddof=1) * np.sqrt(1 + 1 / 5))


def test_a_spread_is_a_deviation_and_predicts_no_reading() -> None:
    given = drawn(7, COMPLETE, repeats=4, within=0.02)
    here = np.arange(80, 84)
    given = given.typed(here, np.round(given.readings.typed[here] + np.array([-0.2, 0.2, -0.2, 0.2]), 2))
    flag = only(given.screened(Limits(accepted_reading=Accepted(0.3))))
    assert flag.test == "spread"
    assert flag.value == pytest.approx(given.readings.typed[here].std(ddof=1))
    assert (flag.predicted, flag.deviation, flag.suggestion) == (None, None, None)


@pytest.mark.parametrize("kind", ["dual", "single"])
def test_readings_by_interval_have_no_closing_reading(kind: str) -> None:
    given = drawn(3, (0, 0, 0), reading="interval", kind=kind)
    assert reasons(given.screened(LIMITS))["closing"] == "this kind of reading has no closing reading"


#: A first run of one table whose errors are larger than the tolerances say: right readings, one of them twice.
FAILING = (0.52, 1.61, 0.48, -0.36, 1.74, 0.55, 0.61, -0.41, 0.57, 0.5, 0.63, 0.58)


def run_of(value: np.ndarray, repeats: int, closure: Closure) -> tuple[Flag, ...]:
    """Screen one run of readings with tolerances of 0.3 and 0.3 arc seconds, nothing else known."""
    cells = len(value) // repeats
    run, step = np.zeros(len(value), dtype=int), np.repeat(np.arange(cells), repeats)
    number, kept = np.arange(1, len(value) + 1), np.zeros(len(value), dtype=bool)
    gathered, offset = gather(run, step, value, runs=2), np.array([0, 1])
    limits = replace(TOLERANCES, lower=0.3, upper=0.3)
    readings = Readings(run, step, value, number, kept)
    return screen(adjust(closure, offset, gathered), offset, gathered, readings, limits).flags


def test_several_cells_out_of_tolerance_are_pointed_out_and_no_slip_is_read_into_them() -> None:
    found = run_of(np.array(FAILING), 1, Closure(12))
    assert {flag.test for flag in found} == {"tolerance"}
    assert len(found) > 1
    assert all((flag.suggestion, flag.strong) == (None, False) for flag in found)


def test_out_of_tolerance_no_repeat_is_accused_for_its_value_alone() -> None:
    """1.79 read, then 1.37 typed for 1.77, in a run whose errors exceed the tolerances: nothing says which is bad."""
    pairs = np.repeat(FAILING, 2) + np.tile([0.0, 0.02], 12)
    pairs[8:10] = (1.79, 1.37)
    (flag,) = [each for each in run_of(pairs, 2, Closure(12)) if each.step == 4]
    assert (flag.test, {flag.entry, *flag.others}) == ("repeats", {9, 10})


def test_both_readings_of_a_cell_out_of_tolerance_are_no_slip() -> None:
    pairs = np.repeat(np.full(12, 0.5), 2) + np.tile([0.0, 0.02], 12)
    pairs[8:10] = (2.13, 2.15)
    found = run_of(pairs, 2, Closure(12))
    assert {(flag.step, flag.test, flag.suggestion) for flag in found} == {(4, "tolerance", None)}


def test_with_a_drift_of_its_run_a_reading_may_lie_any_way_apart() -> None:
    """0.1 arc seconds a step in a clean first run."""
    drifting = 0.1 * np.arange(13)
    assert run_of(drifting, 1, Closure(12, drift="linear")) == ()
    assert run_of(drifting, 1, Closure(12)) != ()
