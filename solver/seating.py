"""Standard deviation of lifts and reseats at one position, and how well it is known."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import ArrayLike

from solver.quantile import fisher
from solver.small_fit import SmallFit, small_fit


@dataclass(frozen=True, slots=True)
class Seating:
    """Readings after each of n lifts and reseats.

    Parameters
    ----------
    mean, standard_deviation : float
        In the unit of the readings; the latter is nan for one reading.
    degrees_of_freedom : int
        n - 1.
    fit : SmallFit
        The mean with its residuals.
    """

    mean: float
    standard_deviation: float
    degrees_of_freedom: int
    fit: SmallFit

    def interval(self, coverage: float) -> tuple[float, float]:
        """Return the interval that holds the true standard deviation with probability `coverage`.

        Notes
        -----
        s root(ν/χ²) with the χ² quantiles for ν degrees of freedom, equal tails; holds for normal readings
        (ISO 2854: memory; recomputed).
        """
        if self.degrees_of_freedom < 1:
            return np.nan, np.nan
        tail = (1 - coverage) / 2
        # F with an infinite denominator is χ² over its degrees of freedom.
        high, low = (float(fisher(p, self.degrees_of_freedom, np.inf)) for p in (tail, 1 - tail))
        return self.standard_deviation / sqrt(high), self.standard_deviation / sqrt(low)


def seating(value: ArrayLike) -> Seating:
    """Return mean and standard deviation of readings (JCGM 100, 4.2.2, equation 4)."""
    read = np.asarray(value, dtype=float)
    fit = small_fit(np.ones((len(read), 1)), read)
    return Seating(float(fit.coefficient[0]), fit.standard_deviation, fit.degrees_of_freedom, fit)
