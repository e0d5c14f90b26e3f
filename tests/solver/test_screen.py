"""Screening put together: each test at the keystroke, from the first reading on, and what it suggests."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from solver.changes import possible
from solver.closure import Closure
from solver.deleted import Accepted
from solver.flags import Flag, Limits, Screening
from solver.runs import Runs
from tests.solver.invented import COMPLETE, Session, session

LIMITS = Limits(resolution=0.01, range=150.0, lower=0.8, upper=0.8, accepted=Accepted(0.03))
UNKNOWN = Limits()


def drawn(seed: int = 3, offsets: tuple[int, ...] = (0, 1, 4), **kind: object) -> Session:
    return session(np.random.default_rng(seed), offsets, **kind)  # type: ignore[arg-type]


def turned(given: Session, reading: int) -> Session:
    return given.typed(reading, -given.readings.typed[reading])


def only(screening: Screening) -> Flag:
    assert len(screening.flags) == 1, screening.flags
    return screening.flags[0]


def reasons(screening: Screening) -> dict[str, str]:
    return {each.test: each.reason for each in screening.not_tested}


@pytest.mark.parametrize("count", [0, 1, 2, 13, 14, 26, 39])
@pytest.mark.parametrize("limits", [LIMITS, UNKNOWN], ids=["known", "unknown"])
def test_a_clean_session_is_quiet_from_the_first_reading_to_the_last(count: int, limits: Limits) -> None:
    assert drawn().first(count).screened(limits).flags == ()


def test_what_cannot_be_tested_yet_is_said() -> None:
    start = reasons(drawn().first(3).screened(UNKNOWN))
    assert set(start) == {"range", "resolution", "tolerance", "repeats", "spread", "residual", "closing"}
    assert start["residual"] == "no cell is predicted by the others yet"
    closed = reasons(drawn().first(13).screened(UNKNOWN))
    assert closed["residual"].startswith("the scatter is not known")
    whole = reasons(drawn().screened(LIMITS))
    assert set(whole) == {"repeats", "spread"}
    assert "closing" in reasons(drawn(drift="linear").screened(LIMITS))


def test_range_and_resolution_as_typed() -> None:
    flags = drawn().first(5).typed(4, 151.003).screened(replace(LIMITS, lower=None)).flags
    assert {(flag.test, flag.run, flag.step, flag.entry) for flag in flags} == {
        ("range", 0, 4, 5),
        ("resolution", 0, 4, 5),
    }
    assert [flag.test for flag in flags] == ["range", "resolution"]


def test_typed_unit_is_that_of_the_instrument() -> None:
    """In microradians: limits and suggestions in the unit typed, values in arc seconds."""
    unit = 0.206264806247
    given = drawn(11, COMPLETE)
    cells = replace(given, readings=replace(given.readings, typed=np.round(given.readings.typed / unit, 1)))
    cells = turned(cells, 40)
    typed = cells.readings.typed[40]
    arc = replace(cells, readings=replace(cells.readings, typed=cells.readings.typed * unit))
    from solver.adjust import adjust
    from solver.screen import screen

    limits = Limits(unit=unit, resolution=0.1, range=500.0)
    flag = only(
        screen(adjust(arc.closure, arc.offset, arc.cells), arc.offset, arc.cells, cells.readings, limits)
    )
    assert flag.suggestion == "sign"
    assert flag.suggested_typed == -typed
    assert flag.suggested_value == pytest.approx(-typed * unit)
    assert flag.value == pytest.approx(typed * unit)


def test_tolerances_in_the_first_run() -> None:
    flag = only(turned(drawn().first(8), 5).screened(LIMITS))
    assert (flag.test, flag.entry, flag.suggestion) == ("tolerance", 6, "sign")
    assert flag.statistic > flag.critical


def test_tolerances_say_nothing_of_cells_that_the_others_bear_out() -> None:
    """Circles out of tolerance are a result, not a bad reading."""
    assert drawn(4, COMPLETE, error=0.3).screened(replace(LIMITS, lower=0.05, upper=0.05)).flags == ()


def test_repeats_in_the_first_cell() -> None:
    given = drawn(5, repeats=2, within=0.01)
    flag = only(turned(given, 1).first(2).screened(replace(LIMITS, repeats=2, lower=None)))
    assert (flag.test, flag.entry, flag.suggestion, flag.others) == ("repeats", 2, "sign", (1,))
    assert only(given.typed(21, given.readings.typed[21] + 0.37).first(26).screened(UNKNOWN)).entry == 22


def test_of_two_repeats_the_one_is_accused_that_the_other_cells_do_not_bear_out() -> None:
    given = drawn(6, COMPLETE, repeats=2, within=0.01)
    for reading in (60, 61):
        flag = only(given.typed(reading, given.readings.typed[reading] + 0.45).screened(UNKNOWN))
        assert flag.entry == reading + 1


def test_a_wide_spread_is_flagged_as_such() -> None:
    given = drawn(7, COMPLETE, repeats=4, within=0.02)
    here = np.arange(80, 84)
    given = given.typed(here, np.round(given.readings.typed[here] + np.array([-0.2, 0.2, -0.2, 0.2]), 2))
    flag = only(given.screened(Limits(accepted_reading=Accepted(0.3))))
    assert (flag.test, flag.run, flag.step) == ("spread", 1, 7)


def test_closing_misfit_of_the_first_run() -> None:
    given = drawn().first(13)
    given = given.typed(12, given.readings.typed[12] + 0.5)
    flag = only(given.screened(LIMITS))
    assert (flag.test, flag.run, flag.step, flag.entry) == ("closing", 0, 12, 13)
    assert flag.rivals == ((0, 0),)
    assert flag.predicted == pytest.approx(given.readings.typed[0])
    assert given.screened(UNKNOWN).flags == ()


def test_of_first_and_closing_reading_the_outlier_of_the_run_is_accused() -> None:
    for reading in (0, 12):
        flag = only(turned(drawn().first(13), reading).screened(LIMITS))
        assert (flag.test, flag.entry, flag.suggestion) == ("closing", reading + 1, "sign")


def test_a_bad_reading_in_the_very_cell_with_its_prediction() -> None:
    given = drawn(8, COMPLETE)
    true = given.readings.typed[70]
    flag = only(turned(given, 70).screened(UNKNOWN))
    assert (flag.test, flag.run, flag.step, flag.entry) == ("residual", 5, 5, 71)
    assert flag.strong
    assert flag.predicted == pytest.approx(true, abs=4 * 0.03)
    assert flag.deviation == pytest.approx(0.03 * 1.13, rel=0.3)
    assert flag.statistic == pytest.approx(abs(flag.value - flag.predicted) / flag.deviation, rel=1e-9)
    assert (flag.suggestion, flag.suggested_typed) == ("sign", true)
    assert flag.weight > 1


def test_the_value_of_the_neighbouring_position() -> None:
    given = drawn(9, COMPLETE)
    typed = given.readings.typed
    there = max(range(27, 37), key=lambda i: abs(typed[i] - typed[i + 1]))
    flag = only(given.typed(there, typed[there + 1]).screened(UNKNOWN))
    assert (flag.entry, flag.suggestion) == (there + 1, "neighbour")
    assert flag.suggested_typed == pytest.approx(typed[there], abs=0.12)


def test_later_readings_incriminate_an_earlier_cell() -> None:
    given = drawn(10, COMPLETE)
    given = given.typed(6, given.readings.typed[6] + 0.5)
    assert given.first(20).screened(Limits(accepted=Accepted(0.03))).flags == ()
    flags = given.first(60).screened(Limits(accepted=Accepted(0.03))).flags
    assert [flag.entry for flag in flags] == [7]


def test_a_knocked_mirror() -> None:
    given = drawn(12, COMPLETE)
    here = (given.readings.run == 3) & (given.readings.step >= 6)
    flag = only(given.typed(here, given.readings.typed[here] + 0.4).screened(LIMITS))
    assert (flag.test, flag.suggestion, flag.run, flag.step) == ("closing", "jump", 3, 6)
    assert flag.jump == pytest.approx(0.4, abs=0.1)
    assert flag.entry == 3 * 13 + 7
    assert flag.value - flag.predicted == pytest.approx(flag.jump)


def test_a_knocked_mirror_in_a_run_read_backward() -> None:
    given = drawn(13, COMPLETE)
    number = given.readings.number.copy()
    back = given.readings.run == 3
    number[back] = number[back][::-1]
    here = back & (given.readings.step < 6)
    given = given.typed(here, given.readings.typed[here] + 0.4)
    flag = only(replace(given, readings=replace(given.readings, number=number)).screened(LIMITS))
    assert (flag.suggestion, flag.step) == ("jump", 5)
    assert flag.jump == pytest.approx(0.4, abs=0.1)


def test_once_the_run_is_split_the_jump_is_explained() -> None:
    given = drawn(12, COMPLETE)
    here = (given.readings.run == 3) & (given.readings.step >= 6)
    given = given.typed(here, given.readings.typed[here] + 0.4)
    assert given.screened(LIMITS, group=np.where(here, 12, given.readings.run)).flags == ()


@pytest.mark.parametrize("which", range(11))
def test_a_run_that_is_not_what_it_is_called(which: int) -> None:
    change = possible(Closure(12), Runs.of(Closure(12), np.arange(12)), 5)[which]
    flags = drawn(14, COMPLETE, change=change).screened(LIMITS).flags
    assert [(flag.run, flag.suggestion) for flag in flags] == [(5, change.name)]
    assert flags[0].entry == 66
    assert flags[0].moved == ((change.lower, change.upper) if change.lower or change.upper else None)


def test_a_slip_in_a_run_of_wrong_polarity_is_predicted_as_it_was_read() -> None:
    polarity = possible(Closure(12), Runs.of(Closure(12), np.arange(12)), 5)[-1]
    given = drawn(15, COMPLETE, change=polarity)
    true = given.readings.typed[70]
    flags = given.typed(70, true + 1.0).screened(LIMITS).flags
    assert {flag.suggestion for flag in flags if flag.entry == 66} == {"polarity"}
    (slip,) = [flag for flag in flags if flag.entry == 71]
    assert slip.predicted == pytest.approx(true, abs=0.12)


def test_what_was_kept_is_not_flagged_again_and_accuses_no_other() -> None:
    given = turned(drawn(16, COMPLETE), 70)
    kept = given.readings.kept.copy()
    kept[70] = True
    assert replace(given, readings=replace(given.readings, kept=kept)).screened(LIMITS).flags == ()


def test_several_slips_ordered_by_weight() -> None:
    given = drawn(17, COMPLETE)
    typed = given.readings.typed
    given = given.typed([10, 80, 120], [typed[10] + 0.4, -typed[80], typed[120] - 1.0])
    flags = given.screened(UNKNOWN).flags
    assert [flag.entry for flag in flags] == [81, 121, 11]
    weights = [flag.weight for flag in flags]
    assert weights == sorted(weights, reverse=True)


@pytest.mark.parametrize("deviation", [0.01, 0.1])
def test_a_wrong_accepted_deviation_is_contradicted_not_believed(deviation: float) -> None:
    screening = drawn(18, COMPLETE).screened(replace(LIMITS, accepted=Accepted(deviation)))
    assert screening.contradicted
    assert screening.flags == ()
    assert screening.deviation == pytest.approx(0.03, rel=0.2)
    assert screening.freedom == 122


def test_the_accepted_deviation_carries_the_first_verdicts() -> None:
    given = drawn(19, (0, 1, 4)).first(30)
    screening = given.screened(LIMITS)
    assert (screening.deviation, screening.freedom, screening.contradicted) == (0.03, np.inf, False)
    assert given.screened(UNKNOWN).freedom == 5


def test_exact_readings_raise_no_flag_and_an_exact_slip_does() -> None:
    """Invented data without noise: rounding of the arithmetic is no scatter."""
    for resolution in (None, 0.01):
        given = drawn(20, COMPLETE, sigma=0.0, resolution=resolution)
        assert given.screened(UNKNOWN).flags == ()
        flag = only(given.typed(30, given.readings.typed[30] + 0.05).screened(UNKNOWN))
        assert flag.entry == 31
        assert np.isfinite(flag.statistic)


@pytest.mark.parametrize(
    "kind",
    [
        {"offsets": (0, 0, 0), "kind": "single", "reading": "interval"},
        {"offsets": tuple(range(12)), "reading": "interval"},
        {"offsets": tuple(range(12)), "arrangement": "face by face", "polarity": -1},
        {"offsets": tuple(range(12)), "drift": "linear"},
        {"offsets": (0, 0, 1, 1, 4, 4, 6, 6)},
    ],
    ids=str,
)
def test_every_kind_of_session(kind: dict[str, object]) -> None:
    given = drawn(21, **kind)  # type: ignore[arg-type]
    assert given.screened(LIMITS).flags == ()
    flag = only(turned(given, 20).screened(replace(LIMITS, lower=None)))
    assert (flag.entry, flag.test) == (21, "residual")


def test_the_smallest_circles() -> None:
    for positions in (2, 3):
        given = drawn(22, tuple(range(positions)), positions=positions)
        assert given.screened(UNKNOWN).flags == ()
        assert given.screened(LIMITS).flags == ()
