"""One choice of offsets: its cost and what it will give."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, sqrt

from sessions.bench_time import Pace
from sessions.design import Design
from solver.coverage import USUAL_PROBABILITY
from solver.quantile import student
from solver.variance import bound, degrees_of_freedom, variances

#: The most of a tolerance that the guard band U may take: a third leaves two thirds in which a position error
#: conforms, and to the tolerance and two thirds of it more from which it does not. JCGM 106, 7.6.3, calls the
#: ratio the measurement capability index, there tolerance over 2 u, and names 3 and more as usual (memory).
SHARE = 1 / 3


@dataclass(frozen=True, slots=True)
class Choice:
    """What a set of offsets costs and gives, arc seconds; None is not determined.

    All uncertainties are of type A: what instrument, mirror and axes add comes on top.

    Parameters
    ----------
    design : Design
        With these offsets.
    hours : float
        Bench time without setting up.
    degrees_of_freedom : int
        Cells minus rank.
    checked : float
        Degrees of freedom over cells: how much of an average cell the others check.
    variance_factor : float
        Mean variance of a position error about the mean of the circle, in units of the variance of a cell,
        without closing readings (which can only lower it: by 5 % for 0, 1, 4 of 12, less for more positions).
    interval_variance_factor, any_two_worst_factor : float
        The same of an interval error, and of the difference of the worst pair of positions.
    worst_separation : int
        How many positions the worst pair lies apart.
    efficiency : float
        Variance that no choice of as many offsets can better, over this one's.
    standard_uncertainty, expanded_uncertainty
        Of a position error about the mean of the circle.
    any_two_mean, any_two_worst : float
        Standard uncertainty of the difference of two positions: root of the mean variance, and worst pair.
    coverage_factor : float or None
        Student's t at 95.45 %. Where the design leaves degrees of freedom these count, since the standard
        deviation of the finished session will come from its residuals; otherwise those of the accepted
        standard deviation.
    effective_degrees_of_freedom : float or None
        Those of the coverage factor; inf for an accepted standard deviation known well.
    decides : bool or None
        Whether the tolerance can be decided: U is at most a third of it. None without a tolerance.
    acceptance_limit : float or None
        Tolerance less U: the position error up to which the circle conforms.
    recommended : bool
        Whether this is the choice to take.
    reason : str
        Why, or why not.
    """

    design: Design
    hours: float
    degrees_of_freedom: int
    checked: float
    variance_factor: float
    interval_variance_factor: float
    any_two_worst_factor: float
    worst_separation: int
    efficiency: float
    standard_uncertainty: float
    any_two_mean: float
    any_two_worst: float
    coverage_factor: float | None
    effective_degrees_of_freedom: float | None
    decides: bool | None
    acceptance_limit: float | None
    recommended: bool = False
    reason: str = ""

    @property
    def offsets(self) -> tuple[int, ...]:
        """The offsets, one for each run or pair of runs."""
        return self.design.offsets

    @property
    def readings(self) -> int:
        """Readings to take, repeats and closing readings included."""
        return self.design.planned_cells * self.design.repeats

    @property
    def expanded_uncertainty(self) -> float | None:
        """U of a position error, k times its standard uncertainty."""
        return self.expanded(self.standard_uncertainty)

    def expanded(self, standard: float) -> float | None:
        """Return k times a standard uncertainty."""
        return None if self.coverage_factor is None else self.coverage_factor * standard


def weigh(
    design: Design,
    *,
    deviation: float,
    freedom: float | None = None,
    assumed: bool = False,
    tolerance: float | None = None,
    pace: Pace | None = None,
) -> Choice:
    """Weigh one design whose offsets determine both circles.

    Parameters
    ----------
    design : Design
        Complete runs; repeats buy repeatability and no degrees of freedom.
    deviation : float
        Standard deviation of one cell, arc seconds.
    freedom : float, optional
        Its degrees of freedom; None: known well.
    assumed : bool
        Whether the standard deviation is a mere assumption: then it has no coverage factor to lend.
    tolerance : float, optional
        Plus or minus arc seconds.
    pace : Pace, optional
        Seconds that the work takes.

    Notes
    -----
    Variances: `solver.variance`. Coverage factor: JCGM 100, G.3. Decision with the guard band U:
    ILAC-G8:09/2019.
    """
    closure = design.model()
    each_way = design.run_count // len(design.offsets)
    runs = tuple(offset for offset in design.offsets for _ in range(each_way))
    found = variances(closure, runs)
    left = degrees_of_freedom(closure, len(runs), design.closing)
    effective = _effective(left, freedom, assumed)
    factor = None if effective is None else float(student((1 - USUAL_PROBABILITY) / 2, effective))
    standard = deviation * sqrt(found.position)
    expanded = None if factor is None else factor * standard
    decides = limit = None
    if tolerance is not None:
        decides = expanded is not None and expanded <= SHARE * tolerance
        limit = None if expanded is None else tolerance - expanded
    return Choice(
        design=design,
        hours=(pace or Pace()).hours(design),
        degrees_of_freedom=left,
        checked=left / design.planned_cells,
        variance_factor=found.position,
        interval_variance_factor=found.interval,
        any_two_worst_factor=found.any_two_worst,
        worst_separation=found.worst_separation,
        efficiency=bound(closure, len(design.offsets)) / each_way / found.position,
        standard_uncertainty=standard,
        any_two_mean=deviation * sqrt(found.any_two_mean),
        any_two_worst=deviation * sqrt(found.any_two_worst),
        coverage_factor=factor,
        effective_degrees_of_freedom=effective,
        decides=decides,
        acceptance_limit=limit,
    )


def _effective(left: int, freedom: float | None, assumed: bool) -> float | None:
    if left > 0:
        return left
    if assumed:
        return None
    return inf if freedom is None else freedom
