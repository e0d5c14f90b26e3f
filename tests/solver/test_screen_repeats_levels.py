"""What each test among repeats takes for chance, and when it says strongly suspect: three tests share the level.

Source: ISO 5725-6 (critical range), ISO 5725-2 (Grubbs, Cochran), by their formulas with quantiles from scipy.stats
(recomputed); Bonferroni over the cells.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from scipy import stats

from solver.deleted import Accepted
from solver.spread import Spread
from solver.within import disagreeing

EACH = 0.05 / 3


def check(
    flagged: Callable[[float], list[Spread]], test: str, sizes: np.ndarray, limit: Callable[[float], float]
) -> None:
    """Screen with a reading more and more off: reported beyond the limit, strong beyond that of a fifth."""
    seen = set()
    for size in sizes:
        for found in flagged(float(size)):
            assert found.test == test
            assert found.critical == pytest.approx(limit(EACH), rel=1e-6)
            assert found.statistic > found.critical
            assert found.strong == (found.statistic > limit(EACH / 5))
            seen.add(found.strong)
    assert seen == {False, True}
    assert not flagged(float(sizes[0]))


@pytest.mark.parametrize("freedom", [np.inf, 10.0])
def test_critical_range_of_pairs(freedom: float) -> None:
    """Three pairs; two others and the accepted deviation give the scatter of the third."""
    cell = np.array([0, 0, 1, 1, 2, 2])
    reference = stats.norm if np.isinf(freedom) else stats.t(2 + freedom)

    def flagged(size: float) -> list[Spread]:
        value = np.array([0.0, 1.4, 5.0, 5.0 + size, 3.0, 1.6])
        found = disagreeing(cell, value, 3, 0.05, Accepted(1.0, freedom))
        for each in found:
            known = 1.0 if np.isinf(freedom) else (2 * 1.4**2 / 2 + freedom) / (2 + freedom)
            assert each.statistic == pytest.approx(size / np.sqrt(known))
            assert (each.cell, each.reading) == (1, None)
        return found

    check(
        flagged, "range", np.arange(3.0, 8.0, 0.05), lambda level: np.sqrt(2) * reference.isf(level / 3 / 2)
    )


def test_critical_range_of_more_repeats() -> None:
    cell = np.repeat(np.arange(2), 3)

    def flagged(size: float) -> list[Spread]:
        return disagreeing(
            cell, np.array([0.0, 0.5, 1.0, 4.0, 4.0 + size / 2, 4.0 + size]), 2, 0.05, Accepted(1.0)
        )

    values = stats.studentized_range(3, np.inf)
    strict = {level: values.isf(level / 2) for level in (EACH, EACH / 5)}
    check(flagged, "range", np.arange(3.0, 7.0, 0.05), lambda level: float(strict[level]))


def test_grubbs_of_one_cell() -> None:
    def limit(level: float) -> float:
        t = stats.t(6).isf(level / 8 / 2)
        return float(7 / np.sqrt(8) * np.sqrt(t**2 / (6 + t**2)))

    value = np.array([0.1, 0.2, 0.15, 0.0, 0.12, 0.18, 0.05])
    cell = np.zeros(8, dtype=int)
    check(
        lambda size: disagreeing(cell, np.append(value, size), 1, 0.05),
        "grubbs",
        np.arange(0.2, 0.9, 0.005),
        limit,
    )


def test_cochran_of_cells_alike() -> None:
    rng = np.random.default_rng(1)
    cell, value = np.repeat(np.arange(20), 4), rng.normal(size=80)

    def flagged(size: float) -> list[Spread]:
        wide = np.where(cell == 7, size * np.array([-1, 1, -1, 1] * 20), value)
        found = disagreeing(cell, wide, 20, 0.05, Accepted(5.0))
        assert all(each.cell == 7 for each in found)
        return found

    def limit(level: float) -> float:
        f = stats.f(3, 19 * 3).isf(level / 20)
        return float(f / (f + 19))

    check(flagged, "cochran", np.arange(1.0, 4.0, 0.02), limit)


def test_a_cell_is_reported_by_the_test_that_says_it_most_clearly() -> None:
    """Both speak: the range by a deviation known beforehand, Cochran by the spread of the other cells."""
    cell, value = np.repeat(np.arange(20), 2), np.random.default_rng(3).normal(size=40)
    value[6] = value[7] + 12.0
    for known, test in ((1.0, "range"), (2.3, "cochran")):
        (found,) = disagreeing(cell, value, 20, 0.05, Accepted(known))
        assert (found.cell, found.test) == (3, test)
