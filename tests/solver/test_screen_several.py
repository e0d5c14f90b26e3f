"""Several bad cells at once, jumps, and suppositions about whole runs."""

from __future__ import annotations

import numpy as np
import pytest

from solver.adjust import adjust
from solver.case import Case, Solved
from solver.cells import gather
from solver.changes import changed, possible
from solver.closure import Closure
from solver.deleted import Accepted
from solver.esd import generalized_esd
from solver.judge import Standard, investigate
from solver.jump import best_jump
from solver.runs import Runs
from tests.solver.dense import matrix
from tests.solver.invented import COMPLETE, Session, session


def rng(seed: int) -> np.random.Generator:
    return np.random.default_rng(seed)


def case_of(drawn: Session) -> Case:
    return Case.of(drawn.closure, drawn.offset, drawn.cells)


def test_bad_cells_that_hide_each_other() -> None:
    """Two equal errors in one row of a small square leave no residual that stands out by itself."""
    drawn = session(rng(1), tuple(range(6)), positions=6, closing=False, sigma=0.01, resolution=None)
    bad = [8, 20]
    drawn = drawn.typed(bad, drawn.readings.typed[bad] + 0.2)
    cells = drawn.cells
    assert set(cells.step[bad]) == {2}
    search = generalized_esd(case_of(drawn).solved().left)
    assert search.steps[0].statistic < search.steps[0].critical
    assert {each.suspect.cell for each in search.guilty} == set(bad)


def test_what_a_guilty_cell_is_predicted_is_what_the_others_give() -> None:
    drawn = session(rng(2), sigma=0.03)
    bad = np.array([30, 31, 100])
    drawn = drawn.typed(bad, drawn.readings.typed[bad] + 1.0)
    cells = drawn.cells
    search = generalized_esd(case_of(drawn).solved().left)
    assert {each.suspect.cell for each in search.guilty} == set(bad.tolist())
    keep = np.delete(np.arange(len(cells)), bad)
    others = gather(cells.run[keep], cells.step[keep], drawn.readings.typed[keep])
    clean = adjust(drawn.closure, drawn.offset, others)
    for each in search.guilty:
        cell = each.suspect.cell
        there = clean.predict(drawn.offset[cells.run[[cell]]], cells.step[[cell]], cells.run[[cell]])
        assert drawn.readings.typed[cell] - each.suspect.error == pytest.approx(there.value[0], abs=1e-9)
        assert each.suspect.root == pytest.approx(np.hypot(1, there.root[0]), rel=1e-9)
        expected = each.suspect.error / each.suspect.root / clean.standard_deviation
        assert each.statistic == pytest.approx(abs(expected), rel=1e-8)
    assert search.remaining.freedom == clean.degrees_of_freedom


def test_cells_that_cannot_be_told_apart_are_named_as_rivals() -> None:
    """First and closing reading of the only run contradict each other: either may be bad."""
    drawn = session(rng(3), (0,), sigma=0.03)
    drawn = drawn.typed(12, drawn.readings.typed[12] + 1.0)
    left = case_of(drawn).solved().left
    (guilty,) = generalized_esd(left, accepted=Accepted(0.03)).guilty
    assert {guilty.suspect.cell, *(rival.cell for rival in guilty.rivals)} == {0, 12}


def test_no_verdict_without_a_scatter() -> None:
    drawn = session(rng(4), (0,), sigma=0.03)
    search = generalized_esd(case_of(drawn).solved().left)
    assert search.steps == search.guilty == ()


def test_planned_cells_make_the_test_stricter_until_they_are_filled() -> None:
    drawn = session(rng(5), (0, 1, 4), sigma=0.03)
    left = case_of(drawn).solved().left
    plain, planned, full = (generalized_esd(left, planned=count).steps[0] for count in (0, 156, 39))
    assert planned.critical > plain.critical
    assert full.critical == plain.critical


@pytest.mark.parametrize("arrangement", ["counter-rotating", "face by face"])
@pytest.mark.parametrize("drift", ["none", "linear"])
def test_jump_gains_what_a_constant_more_would(arrangement: str, drift: str) -> None:
    drawn = session(rng(6), (0, 1, 3, 7), arrangement=arrangement, drift=drift)
    here = (drawn.readings.run == 2) & (drawn.readings.step >= 7)
    drawn = drawn.typed(here, drawn.readings.typed[here] + 0.5)
    cells = drawn.cells
    solved = case_of(drawn).solved()
    jump = best_jump(solved, solved.residual)
    assert jump is not None
    assert (jump.group, jump.step) == (2, 7)
    design = matrix(drawn.closure, drawn.offset[cells.run], cells.step, cells.run, len(drawn.offset))
    column = ((cells.run == 2) & (cells.step >= 7)).astype(float)
    value = cells.value + cells.base[cells.run]
    full = np.column_stack([design, column])
    solution = np.linalg.lstsq(full, value, rcond=1e-10)[0]
    left = value - full @ solution
    assert jump.gain == pytest.approx(solved.squares - left @ left, rel=1e-7)
    assert jump.size == pytest.approx(solution[-1], abs=1e-9)


def test_a_steady_drift_is_not_called_a_jump() -> None:
    drawn = session(rng(7), sigma=0.02)
    here = drawn.readings.run == 4
    drawn = drawn.typed(here, drawn.readings.typed[here] + 0.05 * drawn.readings.step[here])
    verdict = investigate(case_of(drawn).solved(), Standard(0.05, None, 1e-6))
    assert verdict.faults == ()


def test_a_single_bad_cell_is_not_called_a_jump() -> None:
    drawn = session(rng(8), sigma=0.02)
    drawn = drawn.typed(60, drawn.readings.typed[60] + 2.0)
    verdict = investigate(case_of(drawn).solved(), Standard(0.05, None, 1e-6))
    assert verdict.faults == ()
    assert verdict.guilty.tolist() == [60]


MODELS = [
    {},
    {"arrangement": "face by face", "polarity": -1},
    {"reading": "interval"},
    {"reading": "interval", "arrangement": "face by face"},
    {"drift": "linear"},
    {"kind": "single", "reading": "interval"},
]


@pytest.mark.parametrize("model", MODELS, ids=str)
def test_a_true_supposition_leaves_nothing(model: dict[str, object]) -> None:
    """Without noise, a run taken otherwise than recorded fits perfectly under what was true, and only then."""
    closure = Closure(7, **model)  # type: ignore[arg-type]
    offsets = (0, 0, 0) if closure.kind == "single" else (0, 1, 2, 3, 4, 5, 6)
    for change in possible(closure, Runs.of(closure, np.array(offsets)), 2):
        drawn = session(rng(9), offsets, positions=7, sigma=0.0, resolution=None, change=change, **model)
        case = case_of(drawn)
        assert case.solved().squares > 1e-3
        assert changed(case, change).solved().squares < 1e-18


def test_suppositions_differ_from_the_record_and_from_each_other() -> None:
    closure = Closure(7)
    drawn = session(rng(10), tuple(range(7)), positions=7)
    case = case_of(drawn)
    settings = [
        (tuple(closure.lower(other.step)), tuple(closure.upper(other.offset, other.step)), tuple(other.sign))
        for other in [case, *(changed(case, change) for change in possible(closure, case.runs, 3))]
    ]
    assert len(set(settings)) == len(settings) == 12


def test_every_fault_of_a_session_is_found_together() -> None:
    """A shifted run, a jump in another and a bad cell in a third."""
    change = possible(Closure(12), Runs.of(Closure(12), np.arange(12)), 3)[1]
    drawn = session(rng(11), change=change)
    here = (drawn.readings.run == 8) & (drawn.readings.step >= 5)
    typed = drawn.readings.typed
    drawn = drawn.typed(here, typed[here] + 0.6).typed(5, typed[5] + 1.0)
    verdict = investigate(case_of(drawn).solved(), Standard(0.05, None, 1e-6))
    assert change in [fault.what for fault in verdict.faults]
    assert [(f.what.group, f.what.step) for f in verdict.faults if hasattr(f.what, "group")] == [(8, 5)]
    assert verdict.guilty.tolist() == [5]


def test_a_case_solves_as_the_adjustment_does() -> None:
    drawn = session(rng(12), COMPLETE, drift="linear")
    adjustment = adjust(drawn.closure, drawn.offset, drawn.cells)
    case = case_of(drawn)
    own, taken = case.solved(), Solved.of(case, adjustment)
    np.testing.assert_allclose(own.residual, taken.residual, atol=1e-12)
    np.testing.assert_allclose(own.leverage, taken.leverage, atol=1e-12)
    assert own.freedom == taken.freedom
    assert case.squares() == pytest.approx(own.squares, rel=1e-9)
