"""Drift of an instrument that is warming up: the slope of its latest readings."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from solver.refused import Refused
from solver.small_fit import SmallFit, small_fit


@dataclass(frozen=True, slots=True)
class Drift:
    """A straight line through readings of something that stands still.

    Parameters
    ----------
    slope : float
        Change per minute, in the unit of the readings.
    slope_uncertainty : float
        Its standard uncertainty; nan with two readings.
    level : float
        Value of the line at the last reading.
    fit : SmallFit
        With the residuals; its parameters are the line at the mean time, and the slope.
    """

    slope: float
    slope_uncertainty: float
    level: float
    fit: SmallFit

    def over(self, minutes: float, coverage: float) -> tuple[float, float]:
        """Return the drift over a time, and its expanded uncertainty (Student's t; nan without freedom)."""
        return self.slope * minutes, self.fit.expanded(self.slope_uncertainty * minutes, coverage)


def drift(minute: ArrayLike, value: ArrayLike) -> Drift:
    """Fit a straight line.

    Parameters
    ----------
    minute : (N,) array_like
        Times, at least two different ones.
    value : (N,) array_like
        Readings.

    Raises
    ------
    Refused
        For times that determine no slope.

    Notes
    -----
    Ordinary least squares: slope Σ (t - mean t) y / Σ (t - mean t)², standard uncertainty s / root Σ (t - mean t)²
    with N - 2 degrees of freedom (JCGM 100, H.3.2, equations H.13a-H.13f). The scatter is taken as independent
    from reading to reading.
    """
    time = np.asarray(minute, dtype=float)
    if len(time) < 2 or np.ptp(time) == 0:
        raise Refused("one moment shows no drift", remedy="take another reading later")
    about = time - time.mean()
    fit = small_fit(np.column_stack((np.ones_like(about), about)), value)
    mean, slope = (float(number) for number in fit.coefficient)
    uncertainty = float(np.sqrt(fit.covariance[1, 1]))
    return Drift(slope, uncertainty, mean + slope * float(about[-1]), fit)
