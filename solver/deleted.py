"""What each cell is judged by: its residual, what the others leave it free, and what is known about the scatter."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from solver.cells import Cells
from solver.closure import Closure, Floats

#: Redundancy (1 - leverage) below which the other cells do not predict a cell. Rounding leaves some 1e-13.
NOT_PREDICTED = 1e-7


@dataclass(frozen=True, slots=True)
class Accepted:
    """A standard deviation known beforehand, and its degrees of freedom; inf where it counts as known."""

    deviation: float
    freedom: float = np.inf


@dataclass(frozen=True, slots=True)
class Scale:
    """What is known about the scatter: the squares left over, and the accepted standard deviation.

    Parameters
    ----------
    squares : float
        Sum of squared residuals.
    freedom : float
        Its degrees of freedom.
    accepted : Accepted, optional
        Pooled in by its degrees of freedom.
    least : float
        Variance below which rounding alone explains a scatter: that of the resolution and of the arithmetic.
    """

    squares: float
    freedom: float
    accepted: Accepted | None = None
    least: float = 0.0

    def without(self, explained: Floats | float, terms: int = 1) -> tuple[Floats, float]:
        """Return the variance and its degrees of freedom once `terms` parameters have explained some squares.

        The variance is nan where no degree of freedom is left.
        """
        freedom = self.freedom - terms
        left = np.maximum(self.squares - np.asarray(explained, dtype=float), 0.0)
        if self.accepted is not None and np.isinf(self.accepted.freedom):
            variance, pooled = np.full_like(left, self.accepted.deviation**2), np.inf
        else:
            extra = self.accepted.freedom if self.accepted is not None else 0.0
            known = extra * self.accepted.deviation**2 if self.accepted is not None else 0.0
            pooled = freedom + extra
            variance = (left + known) / pooled if pooled > 0 else np.full_like(left, np.nan)
        return np.maximum(variance, self.least), pooled

    def struck(self, explained: float, terms: int = 1) -> Scale:
        """Return the scale once `terms` parameters have explained some squares for good."""
        left = max(self.squares - explained, 0.0)
        return Scale(left, self.freedom - terms, self.accepted, self.least)

    def evidence(self, before: Floats | float, after: Floats | float) -> Floats:
        """Return how much likelier (natural logarithm) the readings become as their squares fall.

        The likelihood of a normal sample with its scatter integrated out, or known.
        """
        before, after = np.asarray(before, dtype=float), np.asarray(after, dtype=float)
        if self.accepted is not None and np.isinf(self.accepted.freedom):
            return (before - after) / (2 * max(self.accepted.deviation**2, self.least))
        extra = self.accepted.freedom if self.accepted is not None else 0.0
        known = extra * self.accepted.deviation**2 if self.accepted is not None else 0.0
        pooled = self.freedom + extra
        floor = known + self.least * pooled + 1e-300
        return 0.5 * pooled * np.log((before + floor) / (after + floor))


@dataclass(frozen=True, slots=True)
class Residuals:
    """What an adjustment leaves to be judged.

    Parameters
    ----------
    residual : (N,) array
        Cell minus adjusted value.
    redundancy : (N,) array
        1 - leverage: the variance of a residual in units of the variance of one cell.
    freedom : int
        Degrees of freedom.
    column : callable
        column(i) is column i of the cofactor matrix of the residuals, I - H, shape (N,).
    """

    residual: Floats
    redundancy: Floats
    freedom: int
    column: Callable[[int], Floats]

    @property
    def squares(self) -> float:
        """Sum of squared residuals."""
        return float(self.residual @ self.residual)


def least_variance(closure: Closure, cells: Cells, resolution: float | None) -> float:
    """Return the variance that rounding leaves in one cell whatever else is perfect.

    Parameters
    ----------
    closure : Closure
        The model; its size bounds the arithmetic's error.
    cells : Cells
        Filled cells, arc seconds.
    resolution : float, optional
        Of a reading, arc seconds. Rounding to it has the variance resolution²/12 (JCGM 100, F.2.2.1).
    """
    if not len(cells):
        return 0.0
    arithmetic = 1e-11 * closure.fine * (1e-3 + float(np.abs(cells.value).max()))
    rounding = (resolution or 0.0) ** 2 / 12 / float(cells.count.mean())
    return arithmetic**2 + rounding
