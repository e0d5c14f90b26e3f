"""Warm-up drift and seating repeatability, against other libraries and published data."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import statsmodels.api as sm
from scipy import stats

from solver.refused import Refused
from solver.repeats import grubbs, grubbs_critical
from solver.seating import seating
from solver.small_fit import small_fit
from solver.warm_up import drift

PUBLISHED = Path(__file__).parents[1] / "published"


@pytest.mark.parametrize("count", [3, 5, 15, 60])
def test_slope_against_another_library(count: int) -> None:
    """Slope, standard error, residual standard deviation and drift with its interval as statsmodels has them."""
    rng = np.random.default_rng(count)
    minute = np.arange(count) * 1.5 + 40
    value = 1234.5 - 0.03 * minute + rng.normal(0, 0.05, count)
    found = drift(minute, value)
    other = sm.OLS(value, sm.add_constant(minute)).fit()
    assert found.slope == pytest.approx(other.params[1], rel=1e-8)
    assert found.slope_uncertainty == pytest.approx(other.bse[1], rel=1e-8)
    assert found.fit.standard_deviation == pytest.approx(np.sqrt(other.scale), rel=1e-8)
    assert found.level == pytest.approx(other.predict()[-1], rel=1e-10)
    change, wide = found.over(20.0, 0.95)
    low, high = 20 * other.conf_int(0.05)[1]
    assert (change - wide, change + wide) == pytest.approx((low, high), rel=1e-7)


def test_two_readings_leave_the_slope_without_uncertainty() -> None:
    found = drift([0, 1], [5.0, 4.0])
    assert found.slope == pytest.approx(-1)
    assert np.isnan(found.slope_uncertainty)
    assert np.isnan(found.over(10, 0.95)[1])


@pytest.mark.parametrize("minute", [[3.0], [3.0, 3.0], []])
def test_one_moment_shows_no_drift(minute: list[float]) -> None:
    with pytest.raises(Refused):
        drift(minute, np.zeros(len(minute)))


def test_gum_h5_daily_means() -> None:
    """GUM (JCGM 100) H.5: the standard deviation of the ten daily means is 57 µV (read)."""
    table = np.loadtxt(PUBLISHED / "gum_h5_zener.csv", delimiter=",", skiprows=1)
    found = seating(table[:, 1] * 1e6)
    assert found.standard_deviation == pytest.approx(57, abs=0.5)
    assert found.degrees_of_freedom == 9
    assert found.mean == pytest.approx(10.000097e6, abs=0.5)


@pytest.mark.parametrize("count", [2, 3, 10, 50])
@pytest.mark.parametrize("coverage", [0.9, 0.9545])
def test_interval_of_a_standard_deviation(count: int, coverage: float) -> None:
    """The chi-squared interval with the quantiles of scipy.stats (recomputed)."""
    found = seating(np.random.default_rng(count).normal(3, 0.2, count))
    tail = (1 - coverage) / 2
    quantiles = stats.chi2.ppf([1 - tail, tail], count - 1)
    expected = found.standard_deviation * np.sqrt((count - 1) / quantiles)
    assert found.interval(coverage) == pytest.approx(tuple(expected), rel=1e-9)


def test_interval_covers() -> None:
    """Of 4000 simulated series of 8 lifts the 95.45 % interval holds the true deviation that often (seeded)."""
    rng = np.random.default_rng(1)
    intervals = [seating(rng.normal(1, 0.3, 8)).interval(0.9545) for _ in range(4000)]
    held = sum(low <= 0.3 <= high for low, high in intervals)
    assert held / 4000 == pytest.approx(0.9545, abs=4 * np.sqrt(0.9545 * 0.0455 / 4000))


def test_one_lift_has_no_standard_deviation() -> None:
    found = seating([2.5])
    assert np.isnan(found.standard_deviation)
    assert np.isnan(found.interval(0.95)).all()


def test_equal_readings_scatter_by_nothing() -> None:
    found = seating([0.1 + 0.2] * 7)
    assert found.standard_deviation == 0
    assert found.fit.apart() is None


def test_uranium_outlier() -> None:
    """NIST/SEMATECH e-Handbook 1.3.5.17.1 (read in copies): the eighth of eight values stands apart."""
    values = np.loadtxt(PUBLISHED / "grubbs_uranium_8.csv", skiprows=1)
    assert seating(values).fit.apart() == 7
    assert seating(values[:7]).fit.apart() is None


def test_a_mean_is_judged_as_by_grubbs() -> None:
    """For a mean the studentized deleted residual with Bonferroni is Grubbs' test: same verdicts on seeded series."""
    rng = np.random.default_rng(5)
    verdicts = set()
    for _ in range(300):
        values = rng.standard_t(2, 9)
        statistic, where = grubbs(values)
        expected = where if statistic > grubbs_critical(9) else None
        assert small_fit(np.ones((9, 1)), values).apart() == expected
        verdicts.add(expected is None)
    assert verdicts == {True, False}


def test_one_step_of_the_resolution_is_no_slip() -> None:
    fit = small_fit(np.ones((6, 1)), [1.0, 1.01, 1.0, 1.0, 1.0, 1.0])
    assert fit.apart() == 1
    assert fit.apart(least=0.025) is None
    assert small_fit(np.ones((6, 1)), [1.0, 1.3, 1.0, 1.0, 1.0, 1.0]).apart(least=0.025) == 1
