"""Standard deviations of several sessions: a control chart, whether they agree, and their pool."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from solver.closure import Floats
from solver.quantile import fisher
from solver.tails import chi_squared_tail, fisher_tail


@dataclass(frozen=True, slots=True, eq=False)
class Chart:
    """A control chart of S standard deviations; nan where there is nothing to compare with.

    Parameters
    ----------
    others : (S,) array
        Standard deviation pooled from the other sessions.
    others_freedom : (S,) array
        Its degrees of freedom.
    lower, upper : (S,) arrays
        Limits of the session's own standard deviation.
    p_value : (S,) array
        Two-sided probability of as unusual a ratio by chance.
    """

    others: Floats
    others_freedom: Floats
    lower: Floats
    upper: Floats
    p_value: Floats

    @classmethod
    def nothing(cls, count: int) -> Chart:
        """Return the chart of so many sessions that have nothing to be compared with."""
        blank = np.full(count, np.nan)
        return cls(blank, np.zeros(count), blank, blank, blank)

    @property
    def outside(self) -> tuple[int, ...]:
        """Sessions out of their limits."""
        return tuple(np.flatnonzero(self.p_value < LEVEL).tolist())


#: Two-sided false alarm of the limits of each session.
LEVEL = 0.05


@dataclass(frozen=True, slots=True)
class Homogeneity:
    """A test whether standard deviations agree; `freedom` holds those of its distribution.

    Parameters
    ----------
    test : str
        "F" for two, exact; "Bartlett" for more, approximate.
    statistic : float
        Larger variance over smaller, or Bartlett's statistic.
    freedom : tuple of float
        Of F, numerator first, or of chi-squared.
    p_value : float
        Probability of as much or more by chance; two-sided for F.
    """

    test: Literal["F", "Bartlett"]
    statistic: float
    freedom: tuple[float, ...]
    p_value: float


def pool(deviation: Floats, freedom: Floats) -> tuple[float, float]:
    """Return the pooled standard deviation and its degrees of freedom; nan and 0 without any."""
    total = float(np.sum(freedom))
    return (float(np.sqrt(np.sum(freedom * deviation**2) / total)) if total > 0 else np.nan), total


def chart(deviation: Floats, freedom: Floats) -> Chart:
    """Compare each standard deviation with those of all the other sessions.

    Parameters
    ----------
    deviation : (S,) array
        Of one cell, arc seconds, 0 or more.
    freedom : (S,) array
        Degrees of freedom, above 0.

    Notes
    -----
    The variance of a session over the pooled one of the others is F with their degrees of freedom, as the two
    are independent; the limits are the others' standard deviation times the roots of its 2.5 % and 97.5 %
    quantiles (a control chart for precision as in NIST/SEMATECH e-Handbook, 2.2.2.3: memory).
    """
    count = len(deviation)
    if count < 2:
        return Chart.nothing(count)
    rest = [pool(np.delete(deviation, s), np.delete(freedom, s)) for s in range(count)]
    others, below = np.array([s for s, _ in rest]), np.array([v for _, v in rest])
    ratio = np.divide(deviation**2, others**2, out=np.full(count, np.nan), where=others > 0)
    tail = fisher_tail(ratio, freedom, below)
    return Chart(
        others,
        below,
        others * np.sqrt(fisher(1 - LEVEL / 2, freedom, below)),
        others * np.sqrt(fisher(LEVEL / 2, freedom, below)),
        2 * np.minimum(tail, 1 - tail),
    )


def homogeneity(deviation: Floats, freedom: Floats) -> Homogeneity | None:
    """Test whether standard deviations agree; None for fewer than two, or where one is zero.

    Notes
    -----
    Two: the ratio of the variances is F. More: Bartlett (1937), with his correction of the statistic.
    """
    count = len(deviation)
    if count < 2 or not (deviation > 0).all():
        return None
    if count == 2:
        large, small = np.argsort(deviation)[::-1]
        ratio = float((deviation[large] / deviation[small]) ** 2)
        above, below = float(freedom[large]), float(freedom[small])
        tail = float(fisher_tail(ratio, above, below))
        # Two-sided, as which of the two is larger was not known before.
        p_value = 2 * min(tail, 1 - tail)
        return Homogeneity("F", ratio, (above, below), p_value)
    pooled, total = pool(deviation, freedom)
    spread = total * np.log(pooled**2) - float(np.sum(freedom * np.log(deviation**2)))
    correction = 1 + (float(np.sum(1 / freedom)) - 1 / total) / (3 * (count - 1))
    statistic = float(spread / correction)
    return Homogeneity(
        "Bartlett", statistic, (float(count - 1),), float(chi_squared_tail(statistic, count - 1))
    )
