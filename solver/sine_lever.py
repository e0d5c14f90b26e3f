"""Polarity and scale of an instrument by a lever of known length, lifted by a gauge block of known size."""

from __future__ import annotations

from dataclasses import dataclass
from math import asin, nan, sqrt

import numpy as np
from numpy.typing import ArrayLike

from solver.radian import ARCSEC_PER_RADIAN
from solver.refused import Refused
from solver.small_fit import SmallFit, small_fit


@dataclass(frozen=True, slots=True)
class Lever:
    """A lever and the block under its end, lengths in mm with their standard uncertainties.

    Raises
    ------
    Refused
        For a block that is no smaller than the lever.
    """

    length: float
    length_uncertainty: float
    block: float
    block_uncertainty: float

    def __post_init__(self) -> None:
        if not 0 < self.block < self.length:
            raise Refused(
                f"a block of {self.block:g} mm cannot lift a lever of {self.length:g} mm",
                remedy="the block must be smaller than the lever is long",
            )

    @property
    def angle(self) -> float:
        """Angle by which the block turns the lever, arc seconds: asin(h/L), the sine principle."""
        return asin(self.block / self.length) * ARCSEC_PER_RADIAN

    @property
    def angle_uncertainty(self) -> float:
        """Standard uncertainty of the angle, arc seconds.

        Notes
        -----
        JCGM 100, 5.1.2 (equation 10), with d asin(h/L)/dh = 1/root(L² - h²) and its L-derivative -h/L times that.
        """
        cosine = sqrt(self.length**2 - self.block**2)
        by_block = self.block_uncertainty / cosine
        by_length = self.block / self.length * self.length_uncertainty / cosine
        return sqrt(by_block**2 + by_length**2) * ARCSEC_PER_RADIAN


@dataclass(frozen=True, slots=True)
class LeverTest:
    """What the lifts said of the instrument.

    Parameters
    ----------
    change : float
        Mean change of the reading, lever lifted minus lever down, arc seconds.
    change_uncertainty : float
        Its standard uncertainty; nan where neither a repeat nor a resolution tells it.
    scale : float
        Angle per reading: what a reading must be multiplied with. Positive, nan for a change of 0.
    scale_uncertainty : float
        Its standard uncertainty.
    effective_freedom : float
        Degrees of freedom of that; inf where no repeats count in it.
    fit : SmallFit
        The mean of the changes, with their residuals.
    """

    change: float
    change_uncertainty: float
    scale: float
    scale_uncertainty: float
    effective_freedom: float
    fit: SmallFit

    @property
    def sign(self) -> int:
        """+1 where the reading rises as the lever is lifted, -1 where it falls, 0 where that is not determined.

        A change within three standard uncertainties of 0 determines no sign (common practice, no source).
        """
        if not abs(self.change) > 3 * self.change_uncertainty:
            return 0
        return 1 if self.change > 0 else -1


def lever_test(lever: Lever, down: ArrayLike, lifted: ArrayLike, resolution: float = 0.0) -> LeverTest:
    """Compare what the instrument read with the angle of the lever.

    Parameters
    ----------
    lever : Lever
        With its lengths.
    down, lifted : (m,) array_like
        Readings in pairs, arc seconds.
    resolution : float, optional
        Of the instrument, arc seconds; 0 where it is not known.

    Notes
    -----
    Type A: standard deviation of the mean of the changes (JCGM 100, 4.2.3), or with one pair what the resolution
    δ leaves, whichever is larger. A reading to the nearest δ has u = δ/root 12 (F.2.2.1), a change that times
    root 2, and repeats of a steady reading do not average it down. scale = angle / |change|; relative
    uncertainties add in square (5.1.6). Degrees of freedom by Welch-Satterthwaite (G.4.1), those of the lengths
    being infinite.
    """
    change = np.asarray(lifted, dtype=float) - np.asarray(down, dtype=float)
    fit = small_fit(np.ones((len(change), 1)), change)
    mean = float(fit.coefficient[0])
    scatter = fit.standard_deviation / sqrt(len(change))
    rounding = resolution / sqrt(6)
    repeats_count = scatter > rounding
    spread = scatter if repeats_count else rounding if rounding > 0 else scatter
    if mean == 0:
        return LeverTest(mean, spread, nan, nan, nan, fit)
    relative = spread / abs(mean)
    known = lever.angle_uncertainty / lever.angle
    total = sqrt(relative**2 + known**2)
    scale = lever.angle / abs(mean)
    freedom = float("inf")
    if repeats_count and fit.degrees_of_freedom:
        freedom = fit.degrees_of_freedom * (total / relative) ** 4
    return LeverTest(mean, spread, scale, scale * total, freedom, fit)
