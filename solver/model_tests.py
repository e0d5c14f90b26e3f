"""Does the model hold? Tests of a standard deviation against another, and of residuals against what chance leaves.

The residuals of an adjustment are not independent: each run and each position has had its mean taken out. So they are
judged against the residuals that the very same cells leave of pure noise, simulated with a fixed seed. Of the simulated
statistics mean and standard deviation are used, with a normal tail: a thousand sets give these to 2 %, while their
outermost few would leave the level of the test to chance.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from solver.closure import Flags, Floats, Ints
from solver.deleted import NOT_PREDICTED
from solver.quantile import fisher, normal, student_tail
from solver.tails import fisher_tail

#: Values of noise to draw in all, and within which numbers of sets: 999 give a standard deviation to 2 %, 99 to 7 %.
_VALUES, _FEWEST, _MOST = 600_000, 99, 999

#: 1 - r of a probability plot that is straight but for rounding.
_STRAIGHT = 1e-15

_SEED = 19_411


@dataclass(frozen=True, slots=True)
class Tested:
    """A test statistic with what it is compared with.

    Parameters
    ----------
    statistic : float
        As observed; nan where the test is not possible.
    expected : float
        Of a model that holds.
    probability : float
        That chance makes it as extreme; nan where the test is not possible.
    """

    statistic: float
    expected: float
    probability: float

    @property
    def possible(self) -> bool:
        """Whether there was enough to test."""
        return bool(np.isfinite(self.probability))


NOT_POSSIBLE = Tested(np.nan, np.nan, np.nan)


@dataclass(frozen=True, slots=True)
class VarianceRatio:
    """Whether one variance is larger than another.

    Parameters
    ----------
    ratio : float
        F.
    critical : float
        What chance exceeds with probability `level`.
    probability : float
        That chance makes it as large.
    freedom, other_freedom : float
        Degrees of freedom above and below.
    level : float
        Of the test, one-sided.
    """

    ratio: float
    critical: float
    probability: float
    freedom: float
    other_freedom: float
    level: float

    @property
    def exceeds(self) -> bool:
        """Whether the first is larger than chance allows."""
        return self.ratio > self.critical


def variance_ratio(
    variance: float, freedom: float, other: float, other_freedom: float, level: float = 0.05
) -> VarianceRatio:
    """Test whether `variance` is larger than `other`, one-sided (F test; JCGM 100, H.5.2.5).

    Parameters
    ----------
    variance, freedom : float
        The one that may be too large, with its degrees of freedom.
    other, other_freedom : float
        The one that it is judged by, above 0; inf degrees of freedom where that counts as known.
    level : float
        Of the test.
    """
    ratio = variance / other
    return VarianceRatio(
        ratio,
        float(fisher(level, freedom, other_freedom)),
        float(fisher_tail(ratio, freedom, other_freedom)),
        freedom,
        other_freedom,
        level,
    )


@dataclass(frozen=True, slots=True)
class Series:
    """Residuals in the order of time.

    Parameters
    ----------
    residual, redundancy : (N,) arrays
        Cell minus adjusted value, and 1 - leverage, in the order of the cells.
    order : (N,) int array
        Cells in the order in which they were taken.
    group : (N,) int array
        Group of each cell; neighbours in time are compared within a group only.
    unexplained : callable
        From noise of the cells, (N,), to the residuals that it leaves, (N,).
    deviation : float
        Standard deviation of one cell.
    """

    residual: Floats
    redundancy: Floats
    order: Ints
    group: Ints
    unexplained: Callable[[Floats], Floats]
    deviation: float


@dataclass(frozen=True, slots=True)
class Shape:
    """Tests of the residuals as a whole.

    Parameters
    ----------
    runs : Tested
        Number of stretches of one sign in the order of time, two-sided (Wald and Wolfowitz 1940).
    neighbours : Tested
        Correlation of neighbours in time, two-sided.
    normality : Tested
        Correlation of the normal probability plot; small is bad.
    """

    runs: Tested
    neighbours: Tested
    normality: Tested


def residual_shape(series: Series, simulations: int | None = None) -> Shape:
    """Test the residuals against those of noise.

    Parameters
    ----------
    series : Series
        At least 3 residuals that say something; else no test is possible.
    simulations : int, optional
        Sets of noise; by default as many as cost no time that one would notice.
    """
    told = series.redundancy > NOT_PREDICTED
    if np.count_nonzero(told) < 3 or not series.deviation > 0:
        return Shape(NOT_POSSIBLE, NOT_POSSIBLE, NOT_POSSIBLE)
    rng = np.random.default_rng(_SEED)
    sets = simulations or min(max(_VALUES // len(told), _FEWEST), _MOST)
    order, pairs = _in_time(series, told)
    size = np.sqrt(np.where(told, series.redundancy, 1.0))[order]
    plotting = plotting_positions(len(order))

    def measured(residual: Floats) -> tuple[float, float, float]:
        scaled = residual[order] / size
        return _stretches(scaled, pairs), _neighbours(scaled, pairs), plot_correlation(scaled, plotting)

    observed = measured(series.residual)
    noise = [measured(series.unexplained(rng.standard_normal(len(series.residual)))) for _ in range(sets)]
    stretches, neighbours, bent = np.array(noise).T
    return Shape(
        _two_sided(observed[0], stretches, 0.5),
        _two_sided(observed[1], neighbours, 0.0),
        _bent(observed[2], bent),
    )


def plotting_positions(count: int) -> Floats:
    """Return where the ordered residuals should lie, in standard deviations, (count,), rising.

    Notes
    -----
    Φ⁻¹((i - 3/8)/(N + 1/4)), i = 1 … N (Blom 1958: memory).
    """
    rank = np.arange(1, count + 1)
    return -normal((rank - 0.375) / (count + 0.25))


def plot_correlation(value: Floats, plotting: Floats) -> float:
    """Return the correlation of ordered values with their plotting positions; 1 is a straight line."""
    ordered = np.sort(value)
    about = ordered - ordered.mean()
    length = float(np.linalg.norm(about) * np.linalg.norm(plotting))
    return float(about @ plotting) / length if length > 0 else 1.0


@dataclass(frozen=True, slots=True)
class Slope:
    """A regression of the readings on something noted beside them.

    Parameters
    ----------
    slope, uncertainty : float
        Arc seconds per unit, and its standard uncertainty.
    tested : Tested
        F of the slope against 0.
    """

    slope: float
    uncertainty: float
    tested: Tested


def slope_on(value: Floats, series: Series, freedom: int) -> Slope:
    """Return how much the readings follow `value`, such as the temperature, all else adjusted anew.

    Parameters
    ----------
    value : (N,) array
        At each cell.
    series : Series
        The residuals.
    freedom : int
        Degrees of freedom of the adjustment.

    Notes
    -----
    One unknown more in the adjustment: with x the part of `value` that the adjustment cannot explain and r the
    residuals, the slope is x'r / x'x, with s² from what remains on one degree of freedom less (Frisch and Waugh 1933).
    A change that the circles or the constants of the runs could explain as well is no evidence and drops out.
    """
    about = value - value.mean()
    left = series.unexplained(about)
    length = float(left @ left)
    if freedom < 2 or length <= 1e-12 * max(float(about @ about), 1e-300):
        return Slope(np.nan, np.nan, NOT_POSSIBLE)
    slope = float(left @ series.residual) / length
    explained = slope**2 * length
    remaining = max(float(series.residual @ series.residual) - explained, 0.0) / (freedom - 1)
    if remaining == 0:
        return Slope(slope, 0.0, NOT_POSSIBLE)
    ratio = explained / remaining
    tail = float(fisher_tail(ratio, 1, freedom - 1))
    return Slope(slope, float(np.sqrt(remaining / length)), Tested(ratio, 1.0, tail))


def _in_time(series: Series, told: Flags) -> tuple[Ints, Flags]:
    """Return the telling cells in the order of time, and which of them is of one group with the next."""
    order = series.order[told[series.order]]
    return order, series.group[order][1:] == series.group[order][:-1]


def _stretches(value: Floats, pairs: Flags) -> float:
    positive = value > 0
    return float(1 + np.count_nonzero((positive[1:] != positive[:-1]) & pairs))


def _neighbours(value: Floats, pairs: Flags) -> float:
    return float((value[1:] * value[:-1])[pairs].sum() / (value @ value))


def _two_sided(observed: float, chance: Floats, half_step: float) -> Tested:
    """Return how far out a value lies on either side; `half_step` is that of a value that counts something."""
    mean, deviation = float(chance.mean()), float(chance.std(ddof=1))
    if deviation == 0:
        return NOT_POSSIBLE
    away = max(abs(observed - mean) - half_step, 0.0) / deviation
    return Tested(observed, mean, min(1.0, 2 * float(student_tail(away, np.inf))))


def _bent(observed: float, chance: Floats) -> Tested:
    """Return how far a correlation lies below those of noise: log(1 - r) is nearly normal (Royston 1992: memory)."""
    logs = np.log(np.maximum(1 - chance, _STRAIGHT))
    away = (np.log(max(1 - observed, _STRAIGHT)) - logs.mean()) / logs.std(ddof=1)
    return Tested(observed, float(1 - np.exp(logs.mean())), float(student_tail(away, np.inf)))
