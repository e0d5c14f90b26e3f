"""The uncertainty budget: lines beside the scatter of the readings, and what all of them come to for each result."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from math import inf, nan, sqrt
from typing import Literal

import numpy as np

from solver.closure import Floats, Ints
from solver.coverage import coverage_factor, effective_freedom, freedom_of_judgement
from solver.effects import Effect, Results, spread

Kind = Literal["A", "B"]
Distribution = Literal["normal", "rectangular", "triangular", "U-shaped"]

#: What a half-width is divided by: JCGM 100, 4.3.7 (rectangular), 4.3.9 (triangular), and for the arcsine
#: distribution JCGM 101, 6.4.6.1. A normal one has the half-width of an interval of about 95 %, k = 2.
DIVISORS: Mapping[Distribution, float] = {
    "normal": 2.0,
    "rectangular": sqrt(3),
    "triangular": sqrt(6),
    "U-shaped": sqrt(2),
}


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a budget. Of half-width and standard uncertainty one is given; with neither it is not assessed.

    Parameters
    ----------
    name : str
        What it is.
    kind : str
        "A" from repeated observations, "B" from other knowledge (JCGM 100, 2.3.2 and 2.3.3).
    distribution : str
        Of the values that are possible.
    half_width, standard_uncertainty : float or None
        Of the source, in its own unit; an effect "proportional" has no unit.
    degrees_of_freedom, relative_uncertainty : float or None
        Of that figure: one of them, or neither where the figure counts as known.
    sensitivity : float
        Arc seconds of the effect for one unit of the source.
    effect : Effect
        How it enters the results, and of which circle.
    counted : bool
        Whether it is counted; false for what the scatter of the readings holds already.
    source : str
        Where the figure is from.
    """

    name: str
    kind: Kind = "B"
    distribution: Distribution = "rectangular"
    half_width: float | None = None
    standard_uncertainty: float | None = None
    degrees_of_freedom: float | None = None
    relative_uncertainty: float | None = None
    sensitivity: float = 1.0
    effect: Effect = field(default_factory=Effect)
    counted: bool = True
    source: str = ""

    @property
    def assessed(self) -> bool:
        """Whether a figure is given."""
        return self.half_width is not None or self.standard_uncertainty is not None

    @property
    def uncertainty(self) -> float:
        """Standard uncertainty of the effect, arc seconds (or none, where it is proportional); nan if not assessed."""
        if self.standard_uncertainty is not None:
            return abs(self.sensitivity) * self.standard_uncertainty
        if self.half_width is not None:
            return abs(self.sensitivity) * self.half_width / DIVISORS[self.distribution]
        return nan

    @property
    def freedom(self) -> float:
        """Degrees of freedom of that."""
        if self.degrees_of_freedom is not None:
            return self.degrees_of_freedom
        if self.relative_uncertainty is not None:
            return freedom_of_judgement(self.relative_uncertainty)
        return inf


@dataclass(frozen=True, slots=True)
class Uncertainty:
    """The uncertainty of M results; nan where a result is not determined, its scatter not known, or nothing enters.

    Parameters
    ----------
    standard : (M,) array
        Combined standard uncertainty; 0 for a result that is certain by definition.
    freedom : (M,) array
        Effective degrees of freedom; inf where all that enters is known, nan for a certain result.
    factor : (M,) array
        Coverage factor k; nan for a certain result.
    expanded : (M,) array
        k times the combined standard uncertainty.
    components : (1 + L, M) array
        Standard uncertainty by component: the scatter of the readings (type A of the adjustment), then the lines.
    """

    standard: Floats
    freedom: Floats
    factor: Floats
    expanded: Floats
    components: Floats

    def take(self, which: Ints) -> Uncertainty:
        """Return what concerns the results at `which`, an int array."""
        return Uncertainty(
            self.standard[which],
            self.freedom[which],
            self.factor[which],
            self.expanded[which],
            self.components[:, which],
        )

    @property
    def shares(self) -> Floats:
        """Share of each component in the combined variance, (1 + L, M); they sum to 1, or to 0 if it is certain."""
        total = self.standard**2
        return np.asarray(self.components**2 / np.where(total > 0, total, 1.0))


def combine(
    results: Results,
    deviation: float,
    freedom: float,
    lines: Sequence[Line],
    probability: float,
) -> Uncertainty:
    """Combine the scatter of the readings with the lines of a budget.

    Parameters
    ----------
    results : Results
        M results of one circle.
    deviation, freedom : float
        Standard deviation of one cell, arc seconds, and its degrees of freedom (inf where it counts as known).
    lines : sequence of Line
        Those that are counted, assessed and touch this circle enter.
    probability : float
        Coverage probability.

    Notes
    -----
    JCGM 100, 5.1.2 (equation 10), for independent components, each with its sensitivity to the result in `spread`;
    6.2.1 and G.3.2 for the coverage factor. With no line, U = t(ν) · s · root of the cofactor.
    """
    return combine_by(
        lambda effect: spread(effect, results),
        results.circle,
        results.root,
        deviation,
        freedom,
        lines,
        probability,
    )


def combine_by(
    spread_of: Callable[[Effect], Floats],
    circle: str,
    root: Floats,
    deviation: float,
    freedom: float,
    lines: Sequence[Line],
    probability: float,
) -> Uncertainty:
    """Combine scatter and lines as `combine` does, for results of any kind.

    Parameters
    ----------
    spread_of : callable
        Returns the variance of each result, shape (M,), for a source of unit standard uncertainty.
    circle : str
        Whose results they are, "lower" or "upper".
    root : (M,) array
        Root of the cofactor of each result.
    deviation, freedom, lines, probability
        As for `combine`.
    """
    scatter = np.where(root == 0, 0.0, root * deviation)
    entering = [line.uncertainty if enters(line, circle) else 0.0 for line in lines]
    parts = [
        np.sqrt(spread_of(line.effect)) * size if size else np.zeros_like(scatter)
        for line, size in zip(lines, entering, strict=True)
    ]
    components = np.array([scatter, *parts])
    # A result that is not determined has no uncertainty, however much is known of the lines.
    components[:, np.isnan(scatter)] = nan
    # Readings that agree to the last digit do not say what they are uncertain by: only a definition is certain.
    components[:, (root > 0) & ~components.any(axis=0)] = nan
    standard = np.sqrt((components**2).sum(axis=0))
    degrees = np.array([freedom, *(line.freedom for line in lines)])
    effective = effective_freedom(components, degrees)
    factor = coverage_factor(effective, probability)
    expanded = np.where(standard == 0, 0.0, factor * standard)
    return Uncertainty(standard, effective, factor, expanded, components)


def enters(line: Line, circle: str) -> bool:
    """Return whether a line counts for results of a circle."""
    return line.counted and line.assessed and line.effect.circle in ("both", circle)
