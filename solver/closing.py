"""Whether closing misfits show a drift, or no more than the scatter of the readings makes of them."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

import numpy as np

from solver.closure import Floats
from solver.model_tests import VarianceRatio, variance_ratio

#: What both tests together accuse of readings without a drift.
LEVEL = 0.05
#: What each of two independent tests may accuse for that.
_EACH = 1 - sqrt(1 - LEVEL)


@dataclass(frozen=True, slots=True)
class Closing:
    """Tests of closing misfits against the scatter; None where nothing is left to test by.

    Parameters
    ----------
    mean : VarianceRatio or None
        Of the mean misfit: the square of Student's t.
    spread : VarianceRatio or None
        Of the misfits about their mean.
    """

    mean: VarianceRatio | None
    spread: VarianceRatio | None

    @property
    def by_scatter(self) -> bool:
        """Whether the scatter alone may have made the misfits; false where that cannot be told."""
        return self.mean is not None and not any(
            test.exceeds for test in (self.mean, self.spread) if test is not None
        )


def closing(misfit: Floats, squares: float, freedom: int) -> Closing:
    """Test closing misfits against the scatter of the readings of the same session.

    Parameters
    ----------
    misfit : (R,) array
        Later minus earlier of the two readings of each run at its first setting, arc seconds; R at least 2.
    squares, freedom : float, int
        Sum of the squared residuals of an adjustment without drift, and its degrees of freedom, R at least.

    Notes
    -----
    The two readings have one expectation, so misfit / root 2 has the variance of a cell and is one of the degrees of
    freedom of the adjustment: R m² / 2 for the mean m, the squares about it / 2, and what is left of `squares` are
    independent, with 1, R - 1 and ν - R degrees of freedom (Cochran 1934). The mean is tested by Student's t against
    the other two (JCGM 100, G.3), the squares about it by F against the last (JCGM 100, H.5.2.5). A / (B + C) and
    B / C are independent for such A, B and C, so that each test has the level 1 - root(1 - 0.05) for 0.05 in all.
    """
    count = len(misfit)
    mean = count * float(misfit.mean()) ** 2 / 2
    spread = float(np.sum((misfit - misfit.mean()) ** 2)) / 2
    return Closing(
        _ratio(mean, 1, squares - mean, freedom - 1),
        _ratio(spread, count - 1, squares - mean - spread, freedom - count),
    )


def _ratio(squares: float, freedom: int, rest: float, rest_freedom: int) -> VarianceRatio | None:
    if rest_freedom < 1 or not rest > 0:
        return None
    return variance_ratio(squares / freedom, freedom, rest / rest_freedom, rest_freedom, _EACH)
