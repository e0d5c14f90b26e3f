"""Upper quantiles and tails of the distributions that tests need, from scipy.special alone.

Each import stands inside its function: scipy.special costs 150 ms, which nobody should wait for before the first test.
Tails are given as upper probabilities, so that a level of 1e-9 keeps all its digits.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from solver.closure import Floats

#: Secant steps at most (about six are taken), and how close the logarithm of the range must come.
_STEPS, _CLOSE = 50, 1e-9


def normal(upper: ArrayLike) -> Floats:
    """Return the value that a standard normal variable exceeds with probability `upper`."""
    from scipy.special import ndtri

    return np.asarray(-ndtri(np.asarray(upper, dtype=float)), dtype=float)


def student(upper: ArrayLike, freedom: ArrayLike) -> Floats:
    """Return the value that Student's t exceeds with probability `upper`; infinite freedom is the normal."""
    from scipy.special import ndtri, stdtrit

    upper, freedom = np.broadcast_arrays(np.asarray(upper, dtype=float), np.asarray(freedom, dtype=float))
    finite = np.isfinite(freedom)
    known = np.where(finite, freedom, 1.0)
    return np.asarray(-np.where(finite, stdtrit(known, upper), ndtri(upper)), dtype=float)


def student_tail(value: ArrayLike, freedom: ArrayLike) -> Floats:
    """Return the probability that Student's t exceeds `value`."""
    from scipy.special import ndtr, stdtr

    value, freedom = np.broadcast_arrays(np.asarray(value, dtype=float), np.asarray(freedom, dtype=float))
    finite = np.isfinite(freedom)
    tail = np.where(finite, stdtr(np.where(finite, freedom, 1.0), -value), ndtr(-value))
    return np.asarray(tail, dtype=float)


def fisher(upper: ArrayLike, above: ArrayLike, below: ArrayLike) -> Floats:
    """Return the value that F exceeds with probability `upper`.

    Parameters
    ----------
    upper : array_like
        Probability.
    above, below : array_like
        Degrees of freedom of numerator and denominator; one of them may be infinite, a known variance.
    """
    from scipy.special import betaincinv, gammainccinv, gammaincinv

    upper, above, below = np.broadcast_arrays(
        *(np.asarray(each, dtype=float) for each in (upper, above, below))
    )
    first = np.where(np.isfinite(above), above, 1.0)
    second = np.where(np.isfinite(below), below, 1.0)
    # With B = d2 / (d2 + d1 F), an upper tail of F is a lower tail of B, which keeps its digits.
    value = second * (1 / betaincinv(second / 2, first / 2, upper) - 1) / first
    value = np.where(np.isfinite(below), value, 2 * gammainccinv(first / 2, upper) / first)
    value = np.where(np.isfinite(above), value, second / (2 * gammaincinv(second / 2, upper)))
    return np.asarray(value, dtype=float)


def studentized_range_tail(value: float, count: int, freedom: float = np.inf) -> float:
    """Return the probability that the studentized range of `count` values exceeds `value`.

    Parameters
    ----------
    value : float
        Range divided by an independent standard deviation.
    count : int
        Number of values, at least 2.
    freedom : float
        Degrees of freedom of that standard deviation; inf where it is known.

    Notes
    -----
    The range of normal values as one integral (Hartley 1942), averaged over the chi distribution of the standard
    deviation in its logarithm. Both integrands are smooth and die away at both ends, where equal steps converge
    faster than any power. The complement is formed under the integral sign, so small tails keep their digits.
    """
    if value <= 0:
        return 1.0
    if not np.isfinite(freedom):
        return float(_range_tail(np.array([value]), count)[0])
    from scipy.special import gammainccinv, gammaincinv, gammaln

    half = freedom / 2
    # Only 1e-14 of the standard deviations lie beyond each end.
    lowest = 0.5 * np.log(max(float(gammaincinv(half, 1e-14)), 1e-300) / half)
    highest = 0.5 * np.log(float(gammainccinv(half, 1e-14)) / half)
    log, step = np.linspace(lowest, highest, 48 + int((highest - lowest) / 0.2), retstep=True)
    density = 2 * np.exp(half * np.log(half) - gammaln(half) + freedom * log - half * np.exp(2 * log))
    return min(float(step * (density @ _range_tail(value * np.exp(log), count))), 1.0)


def _range_tail(width: Floats, count: int) -> Floats:
    """Return the probability that the range of `count` standard normal values exceeds each width."""
    from scipy.special import ndtr

    # count ∫ φ(z) [Φ(z)^(count-1) - (Φ(z) - Φ(z - w))^(count-1)] dz; the bracket has its mass about w / 2.
    z = np.arange(-8.5, min(float(width.max()) / 2, 8.5) + 8.5, 0.25)
    below = ndtr(z)
    share = np.minimum(ndtr(z - width[:, None]) / below, 1 - 1e-15)
    lost = -np.expm1((count - 1) * np.log1p(-share))
    density = np.exp(-0.5 * z**2) * below ** (count - 1) / np.sqrt(2 * np.pi)
    return np.asarray(np.minimum(count * 0.25 * (lost @ density), 1.0))


def studentized_range(upper: float, count: int, freedom: float = np.inf) -> float:
    """Return the studentized range that is exceeded with probability `upper`.

    Parameters
    ----------
    upper : float
        Probability, at most 0.5.
    count : int
        Number of values, at least 2.
    freedom : float
        Degrees of freedom of the standard deviation; inf where it is known.

    Notes
    -----
    Two values: root 2 times Student's t. More: secant steps on the logarithm of the tail against the logarithm of the
    range, from Bonferroni's bound over all pairs, which is close where the level is small.
    """
    bound = float(np.sqrt(2) * student(upper / (count * (count - 1)), freedom))
    if count == 2:
        return bound
    before, value = np.log(bound), np.log(bound) - 0.02
    missed = np.log(studentized_range_tail(bound, count, freedom) / upper)
    for _ in range(_STEPS):
        here = np.log(studentized_range_tail(float(np.exp(value)), count, freedom) / upper)
        if here == missed:
            break
        before, value, missed = value, value - here * (value - before) / (here - missed), here
        if abs(value - before) < _CLOSE:
            break
    return float(np.exp(value))
