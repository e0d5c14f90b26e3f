"""Tests of the model: silent on noise as often as they should be, loud on what they are for."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from solver.adjust import Adjustment, adjust
from solver.cells import gather
from solver.closure import Closure
from solver.model_tests import (
    Series,
    Shape,
    plot_correlation,
    plotting_positions,
    residual_shape,
    slope_on,
    variance_ratio,
)

N = 12
OFFSETS = np.array([0, 1, 3, 7])
RUN, STEP = (x.ravel() for x in np.meshgrid(np.arange(4), np.arange(N + 1), indexing="ij"))


def adjusted(noise: NDArray[np.float64]) -> Adjustment:
    return adjust(Closure(N), OFFSETS, gather(RUN, STEP, noise + 30.0 * RUN))


def series(adjustment: Adjustment) -> Series:
    return Series(
        residual=adjustment.residual,
        redundancy=1 - adjustment.leverage,
        order=np.arange(len(RUN)),
        group=RUN,
        unexplained=adjustment.unexplained,
        deviation=adjustment.standard_deviation,
    )


def shape(noise: NDArray[np.float64]) -> Shape:
    return residual_shape(series(adjusted(noise)))


def test_noise_is_called_something_else_as_often_as_said() -> None:
    """Of 40 clean sessions two at the 5 % level, by each test, rarely more than seven (the benchmark takes 500)."""
    rng = np.random.default_rng(71)
    found = [shape(rng.normal(size=len(RUN))) for _ in range(40)]
    for name in ("runs", "neighbours", "normality"):
        alarms = sum(getattr(each, name).probability <= 0.05 for each in found)
        assert alarms <= 7, name


def test_residuals_that_follow_each_other() -> None:
    rng = np.random.default_rng(72)
    noise = np.zeros(len(RUN))
    for i in range(1, len(RUN)):
        noise[i] = 0.9 * noise[i - 1] + rng.normal()
    found = shape(noise)
    assert found.neighbours.probability <= 0.02
    assert found.neighbours.statistic > found.neighbours.expected
    assert found.runs.probability <= 0.05
    assert found.runs.statistic < found.runs.expected


def test_residuals_that_alternate() -> None:
    noise = (-1.0) ** np.arange(len(RUN)) + np.random.default_rng(73).normal(0, 0.3, len(RUN))
    found = shape(noise)
    assert found.neighbours.statistic < found.neighbours.expected
    assert found.neighbours.probability <= 0.02


def test_long_tails() -> None:
    noise = np.random.default_rng(74).standard_t(1.2, len(RUN))
    found = shape(noise)
    assert found.normality.probability <= 0.02
    assert found.normality.statistic < found.normality.expected


def test_same_readings_same_answer() -> None:
    noise = np.random.default_rng(75).normal(size=len(RUN))
    assert shape(noise) == shape(noise)


def test_too_little_to_test() -> None:
    run, step = (x.ravel() for x in np.meshgrid(np.arange(2), np.arange(4), indexing="ij"))
    adjustment = adjust(Closure(4), np.array([0, 1]), gather(run, step, np.arange(8.0)))
    assert adjustment.degrees_of_freedom == 0
    few = Series(
        adjustment.residual, 1 - adjustment.leverage, np.arange(8), run, adjustment.unexplained, np.nan
    )
    found = residual_shape(few)
    assert not (found.runs.possible or found.neighbours.possible or found.normality.possible)
    assert not slope_on(np.arange(8.0), few, 0).tested.possible


def test_slope_is_that_of_a_larger_least_squares() -> None:
    """Against a dense design with the temperature as one column more."""
    rng = np.random.default_rng(76)
    temperature = 20 + np.cumsum(rng.normal(0, 0.05, len(RUN)))
    noise = rng.normal(0, 0.1, len(RUN)) + 1.5 * (temperature - 20)
    adjustment = adjusted(noise)
    found = slope_on(temperature, series(adjustment), adjustment.degrees_of_freedom)

    design = np.zeros((len(RUN), 2 * N + 4 + 1))
    for i, (r, t) in enumerate(zip(RUN, STEP, strict=True)):
        design[i, t % N] = 1
        design[i, N + (OFFSETS[r] - t) % N] = 1
        design[i, 2 * N + r] = 1
        design[i, -1] = temperature[i] - 20
    solution, _, rank, _ = np.linalg.lstsq(design, noise, rcond=1e-10)
    left = noise - design @ solution
    s2 = left @ left / (len(RUN) - rank)
    covariance = s2 * np.linalg.pinv(design.T @ design, rcond=1e-10)
    assert found.slope == pytest.approx(solution[-1], rel=1e-8)
    assert found.uncertainty == pytest.approx(np.sqrt(covariance[-1, -1]), rel=1e-6)
    assert found.tested.statistic == pytest.approx((found.slope / found.uncertainty) ** 2, rel=1e-9)
    assert found.tested.probability < 0.001


def test_temperature_that_did_not_change_tells_nothing() -> None:
    adjustment = adjusted(np.random.default_rng(77).normal(size=len(RUN)))
    found = slope_on(np.full(len(RUN), 20.0), series(adjustment), adjustment.degrees_of_freedom)
    assert not found.tested.possible
    assert np.isnan(found.slope)


def test_temperature_constant_in_each_run_is_in_the_constants() -> None:
    adjustment = adjusted(np.random.default_rng(78).normal(size=len(RUN)))
    assert not slope_on(20.0 + RUN, series(adjustment), adjustment.degrees_of_freedom).tested.possible


def test_variance_ratio_against_scipy() -> None:
    from scipy import stats

    found = variance_ratio(4.0, 7, 1.5, 11)
    assert found.ratio == pytest.approx(4 / 1.5)
    assert found.critical == pytest.approx(stats.f.isf(0.05, 7, 11), rel=1e-10)
    assert found.probability == pytest.approx(stats.f.sf(4 / 1.5, 7, 11), rel=1e-10)
    assert not found.exceeds
    known = variance_ratio(4.0, 7, 1.5, np.inf)
    assert known.probability == pytest.approx(stats.chi2.sf(7 * 4 / 1.5, 7), rel=1e-10)
    assert known.exceeds


@pytest.mark.parametrize("count", [10, 20, 50])
def test_probability_plot_of_independent_values(count: int) -> None:
    """The 5 % point of the correlation with Blom's positions.

    1.0063 - 0.1288/root n - 0.6118/n + 1.3505/n² (Ryan and Joiner 1976: memory), and seeded simulation beside it.
    """
    plotting = plotting_positions(count)
    assert plotting == pytest.approx(-plotting[::-1])
    rng = np.random.default_rng(79)
    chance = [plot_correlation(rng.normal(size=count), plotting) for _ in range(4000)]
    expected = 1.0063 - 0.1288 / np.sqrt(count) - 0.6118 / count + 1.3505 / count**2
    assert np.quantile(chance, 0.05) == pytest.approx(expected, abs=0.003)
    assert plot_correlation(3 + 2 * plotting, plotting) == pytest.approx(1)
