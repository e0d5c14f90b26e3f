"""The expanded uncertainties of a circle taken apart, with the lines of the budget."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sessions.analysis import Analysis
from sessions.budget import Budget, expanded_circle, freedom_of_scatter
from sessions.same_circle import Which
from solver.budget import Uncertainty, enters
from solver.closure import Floats
from solver.extremes import Difference
from solver.harmonics import Harmonics, amplitude_rows, phase_rows, without_rows
from solver.linear import combine_linear


@dataclass(frozen=True, slots=True, eq=False)
class CircleExpanded:
    """Uncertainties of all that is said of a circle taken apart, arc seconds and degrees.

    Parameters
    ----------
    probability : float
        Coverage probability.
    recorded : bool
        Whether a budget is recorded.
    lines : int
        How many of its lines count for this circle; with none, type A stands alone.
    amplitude, phase : Uncertainty
        Of H orders. Right for an amplitude of some four times its uncertainty and more.
    position, from_first, remaining : Uncertainty
        Of n errors: about the mean, from position 0, and what remains about the mean.
    largest : Uncertainty
        Of the largest interval error and the largest between two positions, then of the same of what remains; each as
        if its positions had been chosen beforehand.
    """

    probability: float
    recorded: bool
    lines: int
    amplitude: Uncertainty
    phase: Uncertainty
    position: Uncertainty
    from_first: Uncertainty
    remaining: Uncertainty
    largest: Uncertainty

    @property
    def factors(self) -> tuple[float, float]:
        """Smallest and largest coverage factor of amplitudes and errors; nan where there is none."""
        known = np.concatenate([each.factor for each in (self.amplitude, self.position, self.from_first)])
        known = known[np.isfinite(known)]
        return (float(known.min()), float(known.max())) if known.size else (np.nan, np.nan)


def circle_expanded(
    analysis: Analysis,
    budget: Budget | None,
    which: Which,
    found: Harmonics,
    spread: Floats,
    removed: tuple[int, ...],
    differences: tuple[Difference, ...],
) -> CircleExpanded:
    """Work out the uncertainties of a circle taken apart.

    Parameters
    ----------
    analysis : Analysis
        Of the session.
    budget : Budget or None
        As recorded.
    which : str
        "lower" or "upper".
    found : Harmonics
        Of the circle.
    spread : (n, n) array
        Cofactor matrix of its position errors.
    removed : tuple of int
        Orders taken off.
    differences : tuple of Difference
        The largest two of the circle, then of what remains.
    """
    counted = budget or Budget()
    error = dict(analysis.circles)[which].position.value
    n = len(error)
    freedom = freedom_of_scatter(analysis) if np.isfinite(analysis.deviation) else 0.0

    def of(rows: Floats) -> Uncertainty:
        return combine_linear(
            which, rows, error, spread, analysis.deviation, freedom, counted.lines, counted.probability
        )

    keep = without_rows(n, removed)
    apart = [np.eye(n)[each.to] - np.eye(n)[each.start] for each in differences]
    rest = len(apart) // 2
    circle = expanded_circle(analysis, counted, which)
    return CircleExpanded(
        counted.probability,
        budget is not None,
        sum(enters(line, which) for line in counted.lines),
        of(amplitude_rows(found, n)),
        of(phase_rows(found, n)),
        circle.position,
        circle.from_first,
        of(keep),
        of(np.array([*apart[:rest], *(each @ keep for each in apart[rest:])])),
    )
