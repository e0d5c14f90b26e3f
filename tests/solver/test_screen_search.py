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


@pytest.mark.parametrize("seed", [38, 129, 357, 479])
def test_a_good_cell_that_stood_out_among_bad_ones_is_exchanged_for_a_bad_one(seed: int) -> None:
    """Five bad cells of 36, drawn so that the cells that stand out one after the other are not the five."""
    rng = np.random.default_rng(seed)
    drawn = session(rng, tuple(range(6)), positions=6, sigma=SIGMA, resolution=None, closing=False)
    where = rng.choice(36, 5, replace=False)
    error = 10 * SIGMA * rng.choice([-1, 1], 5)
    search = generalized_esd(
        left_of(drawn.typed(where, drawn.readings.typed[where] + error)), accepted=Accepted(SIGMA)
    )
    assert {each.suspect.cell for each in search.guilty} == set(where.tolist())


def test_one_contradiction_is_one_test() -> None:
    """The two ends of the only run contradict each other: one degree of freedom, however many cells."""
    drawn = session(np.random.default_rng(3), (0,), sigma=SIGMA)
    left = left_of(drawn.typed(12, drawn.readings.typed[12] + 1.0))
    (guilty,) = generalized_esd(left, accepted=Accepted(SIGMA)).guilty
    assert guilty.critical == pytest.approx(stats.norm.isf(0.025), rel=1e-9)


@pytest.mark.parametrize("where", [[30], [30, 77]])
def test_a_bad_cell_is_paid_for_with_what_makes_it_just_significant(where: list[int]) -> None:
    """With a known scatter the likelihood gains half of what the squares fall by, in variances."""
    left = bad(where, 12.0)
    search = generalized_esd(left, accepted=Accepted(SIGMA))
    gained = (left.squares - search.remaining.squares) / SIGMA**2
    paid = sum(stats.norm.isf(0.025 / (CELLS - before)) ** 2 for before in range(len(where)))
    assert search.evidence == pytest.approx((gained - paid) / 2, rel=1e-9)


def test_guilty_cells_come_worst_first() -> None:
    drawn = session(np.random.default_rng(1), sigma=SIGMA, resolution=None)
    where = [30, 77, 140]
    left = left_of(drawn.typed(where, drawn.readings.typed[where] + np.array([10.0, 30.0, 20.0]) * SIGMA))
    assert [each.suspect.cell for each in generalized_esd(left).guilty] == [77, 140, 30]
