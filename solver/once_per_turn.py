"""The part of readings round a circle that comes once per turn: a tilt, an eccentricity."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from solver.closure import Floats
from solver.small_fit import SmallFit, small_fit


@dataclass(frozen=True, slots=True)
class OncePerTurn:
    """Readings fitted by mean + amplitude · cos(angle - direction).

    Parameters
    ----------
    mean, cosine, sine : float
        Parameters of the fit, in the unit of the readings.
    fit : SmallFit
        With the residuals.
    """

    mean: float
    cosine: float
    sine: float
    fit: SmallFit

    @property
    def amplitude(self) -> float:
        """Half of what the once-per-turn part swings from lowest to highest."""
        return float(np.hypot(self.cosine, self.sine))

    @property
    def direction(self) -> float:
        """Angle of its highest point, degrees from 0 to below 360; nan where the amplitude is 0."""
        if self.amplitude == 0:
            return np.nan
        return float(np.degrees(np.arctan2(self.sine, self.cosine)) % 360.0)

    @property
    def amplitude_uncertainty(self) -> float:
        """Standard uncertainty of the amplitude, nan with no degree of freedom.

        Notes
        -----
        JCGM 100, 5.2.2 (equation 13) for the root of cosine² + sine². At k equally spaced angles it is the residual
        standard deviation times root(2/k). An amplitude that is not far above it is read too large, since noise
        has an amplitude of its own.
        """
        return self._along(self._towards)

    @property
    def direction_uncertainty(self) -> float:
        """Standard uncertainty of the direction, degrees; nan where it is not determined."""
        if self.amplitude == 0:
            return np.nan
        across = self._along(np.array([-self._towards[1], self._towards[0]]))
        return float(np.degrees(across / self.amplitude))

    def at(self, angle: ArrayLike) -> Floats:
        """Return the fitted value at angles in degrees."""
        turn = np.radians(np.asarray(angle, dtype=float))
        return np.asarray(self.mean + self.cosine * np.cos(turn) + self.sine * np.sin(turn))

    @property
    def _towards(self) -> Floats:
        if self.amplitude == 0:
            return np.array([1.0, 0.0])
        return np.array([self.cosine, self.sine]) / self.amplitude

    def _along(self, direction: Floats) -> float:
        return float(np.sqrt(direction @ self.fit.covariance[1:, 1:] @ direction))


def once_per_turn(angle: ArrayLike, value: ArrayLike) -> OncePerTurn:
    """Fit the once-per-turn part of readings at angles in degrees; three different angles at least.

    Raises
    ------
    Refused
        For angles that do not determine it.

    Notes
    -----
    At k equally spaced angles, k at least 3, the parameters are those of the discrete Fourier transform:
    cosine = 2/k Σ y cos, sine = 2/k Σ y sin. Least squares gives the same and stands a missing angle.
    """
    turn = np.radians(np.asarray(angle, dtype=float))
    fit = small_fit(np.column_stack((np.ones_like(turn), np.cos(turn), np.sin(turn))), value)
    mean, cosine, sine = (float(number) for number in fit.coefficient)
    return OncePerTurn(mean, cosine, sine, fit)
