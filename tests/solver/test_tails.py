"""Tails of F and chi-squared, and the quantiles used beside them, against scipy.stats (recomputed)."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from solver.quantile import fisher
from solver.tails import chi_squared_tail, fisher_tail

FREEDOMS = (1, 2, 3.5, 11, 110, 1441)
LEVELS = (0.975, 0.5, 0.05, 0.01, 1e-6)


@pytest.mark.parametrize("freedom", FREEDOMS)
def test_chi_squared(freedom: float) -> None:
    values = stats.chi2.isf(LEVELS, freedom)
    assert chi_squared_tail(values, freedom) == pytest.approx(LEVELS, rel=1e-9)
    assert chi_squared_tail(3.2, freedom) == pytest.approx(stats.chi2.sf(3.2, freedom), rel=1e-12)


@pytest.mark.parametrize("above", FREEDOMS)
@pytest.mark.parametrize("below", FREEDOMS)
def test_f(above: float, below: float) -> None:
    values = stats.f.isf(LEVELS, above, below)
    assert fisher_tail(values, above, below) == pytest.approx(LEVELS, rel=1e-8)
    assert fisher(LEVELS, above, below) == pytest.approx(values, rel=1e-8)


def test_a_known_variance_turns_f_into_chi_squared() -> None:
    assert fisher_tail(1.7, 11, np.inf) == pytest.approx(stats.chi2.sf(1.7 * 11, 11), rel=1e-12)


def test_not_determined_stays_so() -> None:
    assert np.isnan(fisher_tail(np.nan, 3, 5))
    assert np.isnan(chi_squared_tail(np.nan, 3))


def test_the_published_f_quantile_of_gum_h5() -> None:
    # GUM H.5: F quantile 95 % (9, 40) = 2.124029 (recomputed; in the published facts).
    assert fisher_tail(2.124029, 9, 40) == pytest.approx(0.05, abs=1e-7)
