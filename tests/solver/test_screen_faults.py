"""Jumps and runs that are not what they are called: how strong they are said to be, and that small ones are seen.

Source: with a known scatter the likelihood ratio is chi-squared (Wilks); quantiles from scipy.stats (recomputed).
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from solver.case import Case
from solver.changes import possible
from solver.closure import Closure
from solver.deleted import Accepted
from solver.flags import Flag, Limits
from solver.jump import best_jump
from solver.runs import Runs
from tests.solver.invented import COMPLETE, session
from tests.solver.screened import clean, shifted_runs
from tests.solver.test_screen import drawn, only

SIGMA = 0.03
KNOWN = Limits(accepted=Accepted(SIGMA))

#: Twelve runs of 13 readings, two at least on each side of a jump.
PLACES = 12 * 10


def chance(places: int, level: float = 0.005, terms: int = 1) -> float:
    """Return what the root of the likelihood ratio's double exceeds at a tenth of 5 % shared by so many places."""
    return float(np.sqrt(stats.chi2(terms).isf(level / places)))


def knocked(size: float, limits: Limits = KNOWN, **kind: str) -> Flag:
    """Return the flag of a jump of so many standard deviations in the middle of a run."""
    given = drawn(2, COMPLETE, resolution=None, **kind)
    here = (given.readings.run == 3) & (given.readings.step >= 6)
    return only(given.typed(here, given.readings.typed[here] + size * SIGMA).screened(limits))


@pytest.mark.parametrize("planned", [0, 300])
def test_a_jump_that_moves_no_cell_beyond_chance_is_seen(planned: int) -> None:
    flag = knocked(3.0, replace(KNOWN, planned=planned))
    assert (flag.suggestion, flag.run, flag.step) == ("jump", 3, 6)
    assert flag.jump is not None
    assert flag.deviation is not None
    assert flag.statistic == pytest.approx(abs(flag.jump) / flag.deviation, rel=1e-6)
    assert flag.critical == pytest.approx(chance(max(planned, PLACES)), rel=1e-6)


def test_a_jump_is_strong_at_a_fifth_of_the_level() -> None:
    weaker, stronger = knocked(2.4), knocked(2.6)
    assert chance(PLACES) < weaker.statistic < chance(PLACES, 0.001) < stronger.statistic
    assert not weaker.strong
    assert stronger.strong


def test_where_runs_drift_a_jump_has_two_terms() -> None:
    flag = knocked(6.0, drift="linear")
    assert (flag.suggestion, flag.run, flag.step) == ("jump", 3, 6)
    assert flag.critical == pytest.approx(chance(PLACES, terms=2), rel=1e-6)


@pytest.mark.parametrize("planned", [0, 300])
def test_a_run_not_what_it_is_called_is_one_of_eleven_suppositions_a_run(planned: int) -> None:
    runs = Runs.of(Closure(12), np.arange(12))
    given = drawn(14, COMPLETE, change=possible(Closure(12), runs, 5)[0])
    flag = only(given.screened(replace(KNOWN, planned=planned)))
    assert flag.suggestion == "run shifted"
    assert flag.critical == pytest.approx(chance(max(planned, 12 * 11)), rel=1e-6)
    assert flag.strong


def test_a_wrong_tooth_shows_in_the_scatter_of_its_run_where_errors_are_small() -> None:
    """Errors of two standard deviations: few cells of the run stand out by themselves."""
    assert shifted_runs(40, 5, error=2 * SIGMA) >= 0.9


def test_a_jump_in_a_fine_circle_is_found_among_the_likeliest_runs() -> None:
    """1332 cells, errors large against the jump, and bad cells in four other runs."""
    drawn = session(np.random.default_rng(4), tuple(range(36)), positions=36, sigma=SIGMA, resolution=None)
    readings = drawn.readings
    here = (readings.run == 20) & (readings.step >= 17)
    typed = readings.typed + 4 * SIGMA * here
    typed[[100, 300, 500, 700]] += 10 * SIGMA
    solved = Case.of(drawn.closure, drawn.offset, drawn.typed(slice(None), typed).cells).solved()
    jump = best_jump(solved, solved.residual)
    assert jump is not None
    assert (jump.group, jump.step, jump.places) == (20, 17, 36 * 34)
    assert jump.size == pytest.approx(4 * SIGMA, abs=0.04)


def test_cells_that_are_struck_make_no_place_for_a_jump() -> None:
    drawn = session(np.random.default_rng(4), sigma=SIGMA)
    solved = Case.of(drawn.closure, drawn.offset, drawn.cells).solved()
    for struck, places in (
        ([5], PLACES - 1),
        ([0, 1, 2, 3, 4, 5, 6, 7, 8, 9], PLACES - 10),
        ([0, 40], PLACES - 2),
    ):
        cells = np.array(struck)
        jump = best_jump(solved, solved.struck(cells), cells)
        assert jump is not None
        assert jump.places == places


@pytest.mark.parametrize(("bad", "step"), [(52, 2), (64, 11)])
def test_a_jump_leaves_two_cells_at_least_on_each_side(bad: int, step: int) -> None:
    """A bad first or closing reading alone, run 4, is best explained by a jump as near to it as may be."""
    drawn = session(np.random.default_rng(4), sigma=SIGMA)
    drawn = drawn.typed(bad, drawn.readings.typed[bad] + 1.0)
    solved = Case.of(drawn.closure, drawn.offset, drawn.cells).solved()
    jump = best_jump(solved, solved.residual)
    assert jump is not None
    assert (jump.group, jump.step) == (4, step)


def test_no_fault_is_supposed_that_does_not_pay_for_itself() -> None:
    """Circles without errors read alike wherever they stand: every supposition about a run fits as well."""
    assert clean(100, 8, (0, 1, 4), None, error=0.0).flagged <= 0.1


@pytest.mark.parametrize("repeats", [1, 2])
def test_a_knock_among_few_offsets_is_not_taken_for_cells_of_several_runs(repeats: int) -> None:
    """A jump in one run and a few cells of several leave the same residuals: the one fault goes before the many."""
    rng = np.random.default_rng(3)
    for _ in range(12):
        drawn = session(rng, (0, 1, 4), repeats=repeats, within=0.02 if repeats > 1 else 0.0)
        readings = drawn.readings
        run, step = int(rng.integers(3)), int(rng.integers(3, 11))
        after = np.flatnonzero((readings.run == run) & (readings.step >= step))
        found = drawn.typed(after, np.round(readings.typed[after] + 1.3, 2)).screened().flags
        assert (run, step) in [(flag.run, flag.step) for flag in found if flag.suggestion == "jump"]
