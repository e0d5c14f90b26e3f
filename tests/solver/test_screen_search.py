"""What the search for bad cells takes for chance, when it calls a cell strongly suspect, and when it gives up.

Source: Student's t with Bonferroni's bound over the cells that are left to choose from (Rosner 1983; scipy.stats,
recomputed).
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from solver.case import Case
from solver.deleted import Accepted, Residuals
from solver.esd import generalized_esd
from tests.solver.invented import Session, session

SIGMA = 0.03
CELLS, FREEDOM = 156, 122


def left_of(drawn: Session) -> Residuals:
    return Case.of(drawn.closure, drawn.offset, drawn.cells).solved().left


def bad(where: list[int], size: float, seed: int = 1) -> Residuals:
    """Return what is left of a complete session with some readings off by so many standard deviations."""
    drawn = session(np.random.default_rng(seed), sigma=SIGMA, resolution=None)
    return left_of(drawn.typed(where, drawn.readings.typed[where] + size * SIGMA))


def chance(cells: int, freedom: float, level: float = 0.05) -> float:
    return float(stats.t(freedom).isf(level / 2 / cells))


@pytest.mark.parametrize("where", [[30], [30, 77], [30, 77, 140]])
def test_each_guilty_cell_is_one_of_those_that_are_not_guilty_already(where: list[int]) -> None:
    search = generalized_esd(bad(where, 30.0))
    assert {each.suspect.cell for each in search.guilty} == set(where)
    assert all(each.strong for each in search.guilty)
    others = len(where) - 1
    for each in search.guilty:
        assert each.critical == pytest.approx(chance(CELLS - others, FREEDOM - len(where)), rel=1e-9)
    first = search.steps[0]
    assert (first.critical, first.freedom) == (pytest.approx(chance(CELLS, FREEDOM - 1)), FREEDOM - 1)


def test_strongly_suspect_at_a_fifth_of_the_level() -> None:
    plain, strict = chance(CELLS, FREEDOM - 1), chance(CELLS, FREEDOM - 1, 0.01)
    seen = set()
    for size in np.arange(2.0, 7.0, 0.05):
        for each in generalized_esd(bad([30], float(size), seed=5)).guilty:
            assert each.statistic > plain
            assert each.strong == (each.statistic > strict)
            if plain * 1.02 < each.statistic < strict * 0.99:
                seen.add("weak")
            if strict < each.statistic < strict * 1.02:
                seen.add("strong")
    assert seen == {"weak", "strong"}


def test_the_search_gives_up_where_bad_cells_are_no_exception() -> None:
    """One cell in six is looked at at most."""
    where = np.random.default_rng(2).choice(CELLS, 50, replace=False)
    sign = np.where(np.arange(50) % 2, 40.0, -40.0) * np.linspace(1, 3, 50) * SIGMA
    drawn = session(np.random.default_rng(1), sigma=SIGMA)
    many = drawn.typed(where, drawn.readings.typed[where] + sign)
    search = generalized_esd(left_of(many), accepted=Accepted(SIGMA))
    assert search.exhausted
    assert len(search.steps) == CELLS // 6
    for few in ([], [30], [30, 77, 140]):
        assert not generalized_esd(bad(few, 30.0), accepted=Accepted(SIGMA)).exhausted
