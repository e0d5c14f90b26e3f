"""Closing misfits against the scatter: the tests of a dense adjustment with a drift as further unknowns."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from solver.adjust import Adjustment, adjust
from solver.cells import gather
from solver.closing import closing
from solver.closure import Closure, Floats

N, OFFSETS = 6, np.array([0, 1, 3, 4])
RUN, STEP = np.repeat(np.arange(4), N + 1), np.tile(np.arange(N + 1), 4)
CLOSING = STEP == N


def adjusted(value: Floats) -> Adjustment:
    return adjust(Closure(N), OFFSETS, gather(RUN, STEP, value, runs=4))


def left(value: Floats, *further: Floats) -> tuple[float, int]:
    """Sum of squared residuals and degrees of freedom of a dense adjustment, with further unknowns or without."""
    at = np.arange(len(RUN))
    design = np.zeros((len(RUN), 2 * N + 4))
    design[at, STEP % N] = 1
    design[at, N + (OFFSETS[RUN] - STEP) % N] = 1
    design[at, 2 * N + RUN] = 1
    design = np.column_stack([design, *further])
    solution, _, rank, _ = np.linalg.lstsq(design, value)
    return float(np.sum((value - design @ solution) ** 2)), len(value) - int(rank)


@pytest.mark.parametrize("drift", [0.0, 0.1, 2.0])
def test_against_the_extra_sum_of_squares(drift: float) -> None:
    """F of nested models (Seber and Lee, Linear Regression Analysis, section 4.3, memory), by numpy's lstsq."""
    value = np.random.default_rng(4).normal(0, 0.05, len(RUN)) + drift * STEP / N
    found = adjusted(value)
    misfit = value[CLOSING] - value[STEP == 0]
    tested = closing(misfit, float(np.sum(found.residual**2)), found.degrees_of_freedom)
    apart = CLOSING.astype(float) - (STEP == 0)
    without, one = left(value), left(value, apart)
    each = left(value, *(apart * (run == RUN) for run in range(4)))
    assert tested.mean is not None
    assert tested.spread is not None
    f = (without[0] - one[0]) / (one[0] / one[1])
    assert tested.mean.ratio == pytest.approx(f, rel=1e-6)
    assert tested.mean.probability == pytest.approx(stats.f.sf(f, 1, one[1]), rel=1e-6, abs=1e-15)
    f = ((one[0] - each[0]) / (one[1] - each[1])) / (each[0] / each[1])
    assert tested.spread.ratio == pytest.approx(f, rel=1e-6)
    assert tested.spread.probability == pytest.approx(stats.f.sf(f, one[1] - each[1], each[1]), rel=1e-6)


def test_both_tests_together_accuse_one_in_twenty_without_a_drift() -> None:
    """Of chi-squared shares of the squares, drawn straight: 20,000 sets, 5 % ± 0.5."""
    generator = np.random.default_rng(6)
    misfit = generator.normal(0, np.sqrt(2), (20_000, 5))
    rest = generator.chisquare(9, 20_000)
    squares = (misfit**2).sum(axis=1) / 2 + rest
    kept = [closing(each, float(q), 14).by_scatter for each, q in zip(misfit, squares, strict=True)]
    assert np.mean(kept) == pytest.approx(0.95, abs=0.005)


def test_misfits_that_differ_by_more_than_scatter_are_not_by_scatter() -> None:
    """A drift now one way, now the other leaves the mean alone and widens the spread."""
    misfit = np.array([1.0, -1.0, 1.0, -1.0])
    tested = closing(misfit, float(np.sum(misfit**2)) / 2 + 20 * 0.05**2, 24)
    assert tested.mean is not None
    assert not tested.mean.exceeds
    assert not tested.by_scatter


def test_where_only_the_misfits_scatter_they_are_tested_by_themselves() -> None:
    """Student's t of one sample."""
    misfit = np.array([0.3, 0.1, 0.4, 0.2])
    tested = closing(misfit, float(np.sum(misfit**2)) / 2, 4)
    assert tested.spread is None
    assert tested.mean is not None
    assert tested.mean.probability == pytest.approx(stats.ttest_1samp(misfit, 0).pvalue)


def test_without_any_scatter_nothing_is_held_by_it() -> None:
    assert not closing(np.zeros(3), 0.0, 9).by_scatter
    assert not closing(np.full(3, 0.1), 0.015, 9).by_scatter
