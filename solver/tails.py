"""Upper tails of F and chi-squared, the p-values of the comparisons, from scipy.special alone."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from solver.closure import Floats


def chi_squared_tail(value: ArrayLike, freedom: ArrayLike) -> Floats:
    """Return the probability that chi-squared exceeds `value`; nan stays nan."""
    from scipy.special import gammaincc

    # The regularized gamma function takes any freedom above 0, whole or not.
    return np.asarray(gammaincc(np.asarray(freedom, dtype=float) / 2, np.asarray(value, dtype=float) / 2))


def fisher_tail(value: ArrayLike, above: ArrayLike, below: ArrayLike) -> Floats:
    """Return the probability that F exceeds `value`.

    Parameters
    ----------
    value : array_like
        Not negative; nan stays nan.
    above, below : array_like
        Degrees of freedom of numerator and denominator; an infinite denominator is a known variance.
    """
    from scipy.special import betainc

    value, above, below = np.broadcast_arrays(
        *(np.asarray(each, dtype=float) for each in (value, above, below))
    )
    finite = np.isfinite(below)
    known = np.where(finite, below, 1.0)
    # An upper tail of F is a lower tail of B = d2 / (d2 + d1 F), which keeps its digits.
    tail = betainc(known / 2, above / 2, known / (known + above * value))
    return np.where(finite, tail, chi_squared_tail(above * value, above))
