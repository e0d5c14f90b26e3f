"""Tests among repeats: critical range, Grubbs, Cochran."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from solver.closure import Floats
from solver.quantile import fisher, student, studentized_range


def critical_range_factor(count: int, freedom: float = np.inf, level: float = 0.05) -> float:
    """Return the factor f(n) of the critical range.

    Parameters
    ----------
    count : int
        Number of readings n, at least 2.
    freedom : float
        Degrees of freedom of the repeatability that it multiplies; inf where that is known.
    level : float
        Probability that good readings range wider.

    Notes
    -----
    ISO 5725-6, critical range of n results (clause as known from memory): a quantile of the studentized range.
    """
    return studentized_range(level, count, freedom)


def grubbs(values: ArrayLike) -> tuple[float, int]:
    """Return Grubbs' statistic, the largest deviation from the mean over the standard deviation, and where it is.

    Values that are all equal have the statistic 0.

    Notes
    -----
    ISO 5725-2, one outlying observation.
    """
    values = np.asarray(values, dtype=float)
    away = np.abs(values - values.mean())
    index = int(away.argmax())
    deviation = float(values.std(ddof=1))
    return (float(away[index]) / deviation if deviation > 0 else 0.0), index


def grubbs_critical(count: int, level: float = 0.05, *, two_sided: bool = True) -> float:
    """Return the critical value of Grubbs' statistic.

    Parameters
    ----------
    count : int
        Number of values, at least 3.
    level : float
        Probability that good values exceed it.
    two_sided : bool
        Whether the outlier may lie on either side.

    Notes
    -----
    (n - 1) / root n · root(t² / (n - 2 + t²)) with t the upper level / n (level / 2n) quantile of Student's t with
    n - 2 degrees of freedom (Grubbs 1969).
    """
    t = float(student(level / count / (2 if two_sided else 1), count - 2))
    return float((count - 1) / np.sqrt(count) * np.sqrt(t**2 / (count - 2 + t**2)))


def cochran_critical(groups: int, replicates: int, level: float = 0.05) -> float:
    """Return the critical value of Cochran's statistic for groups of equal `replicates` (ISO 5725-2, 7.3.3)."""
    freedom = np.full(groups, replicates - 1)
    return float(share_critical(freedom, level)[0])


def share_critical(freedom: ArrayLike, level: float = 0.05) -> Floats:
    """Return what share each group may have in the sum of squares, for groups of any size.

    Parameters
    ----------
    freedom : (P,) array_like
        Degrees of freedom of each group, at least 1; P at least 2.
    level : float
        Probability that any good group exceeds its own, by Bonferroni.

    Returns
    -------
    (P,) array
        For equal groups Cochran's critical value; for others the test of one variance against the pool of the rest.

    Notes
    -----
    't Lam, R.U.E. (2010), Scrutiny of variance results for outliers: Cochran's test optimized (from memory).
    """
    freedom = np.asarray(freedom, dtype=float)
    own, place = np.unique(freedom, return_inverse=True)
    rest = freedom.sum() - own
    above = own * fisher(level / len(freedom), own, rest)
    return np.asarray((above / (above + rest))[place])
