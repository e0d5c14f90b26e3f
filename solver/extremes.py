"""The largest errors of a circle: of an interval, and between any two positions."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from solver.closure import Floats
from solver.quantile import student, studentized_range


@dataclass(frozen=True, slots=True)
class Difference:
    """The angle error from one position to another.

    Parameters
    ----------
    start, to : int
        Positions; the angle is taken in the direction of rising numbers.
    value, uncertainty : float
        Error at `to` minus error at `start`, and its standard uncertainty as if the two had been chosen beforehand.
    limit : float
        What scatter alone makes of the largest difference of this kind with a probability of 5 % at the most; nan
        where the scatter is not known.
    """

    start: int
    to: int
    value: float
    uncertainty: float
    limit: float


def largest_interval(
    error: ArrayLike, cofactor: ArrayLike, deviation: float, freedom: float, level: float = 0.05
) -> Difference:
    """Return the interval with the largest error in size.

    Parameters
    ----------
    error, cofactor : (n,) and (n, n) array_like
        Position errors and their cofactor matrix.
    deviation, freedom : float
        Standard deviation of one cell and its degrees of freedom; nan and 0 where it is not known.
    level : float
        Of the limit.

    Notes
    -----
    The limit is Bonferroni's over the n intervals.
    """
    value, spread = np.asarray(error, dtype=float), np.asarray(cofactor, dtype=float)
    n = len(value)
    here = np.arange(n)
    to = (here + 1) % n
    size = value[to] - value
    root = np.sqrt(np.maximum(spread[to, to] - 2 * spread[to, here] + spread[here, here], 0.0))
    at = int(np.argmax(np.abs(size)))
    limit = float(deviation * root.max() * student(level / (2 * n), freedom)) if freedom > 0 else np.nan
    return Difference(at, int(to[at]), float(size[at]), float(deviation * root[at]), limit)


def largest_between(
    error: ArrayLike, cofactor: ArrayLike, deviation: float, freedom: float, level: float = 0.05
) -> Difference:
    """Return the largest error between any two positions, from the lowest error to the highest.

    Parameters are those of `largest_interval`.

    Notes
    -----
    The limit is the studentized range of n values with the largest variance of a difference (Tukey and Kramer): exact
    for complete closures by "position", where every difference has the same variance, else on the safe side.
    """
    value, spread = np.asarray(error, dtype=float), np.asarray(cofactor, dtype=float)
    start, to = int(np.argmin(value)), int(np.argmax(value))
    variance = _variances(spread)
    limit = np.nan
    if freedom > 0:
        limit = deviation * np.sqrt(variance.max() / 2) * studentized_range(level, len(value), freedom)
    root = np.sqrt(variance[start, to])
    return Difference(start, to, float(value[to] - value[start]), float(deviation * root), float(limit))


def _variances(spread: Floats) -> Floats:
    own = np.diag(spread)
    return np.maximum(own[:, None] + own - spread - spread.T, 0.0)
