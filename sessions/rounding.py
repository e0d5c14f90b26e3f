"""Rounding by the uncertainty: two significant digits of it, and the value to the same place."""

from __future__ import annotations

import math

import numpy as np

from solver.closure import Floats


def decimals_for(uncertainty: float, digits: int = 2, *, otherwise: int = 3) -> int:
    """Return the digits after the point that show so many significant digits of an uncertainty.

    Parameters
    ----------
    uncertainty : float
        0.0123 gives 3, 0.0996 gives 2 (it rounds to 0.10), 12.3 gives 0, 123 gives -1.
    digits : int, optional
        Significant digits.
    otherwise : int, optional
        What is returned where the uncertainty gives none: it is zero or not determined.

    Notes
    -----
    JCGM 100:2008, 7.2.6: at most two significant digits of the uncertainty, and the value to the same place.
    """
    if not (math.isfinite(uncertainty) and uncertainty > 0):
        return otherwise
    return digits - 1 - int(f"{uncertainty:.{digits - 1}e}".partition("e")[2])


def decimals_of_column(uncertainties: Floats, *, otherwise: int = 3) -> int:
    """Return the digits after the point, none at least, that leave the smallest uncertainty two digits.

    `uncertainties` has any shape; zeros and nan are passed over, and `otherwise` returned if nothing is left.
    """
    usable = uncertainties[np.isfinite(uncertainties) & (uncertainties > 0)]
    return max(0, decimals_for(float(usable.min(initial=math.inf)), otherwise=otherwise))


def written_decimals(value: float) -> int:
    """Return the digits after the point that a number is written with to its last digit, at most 17.

    Examples
    --------
    >>> written_decimals(2.5), written_decimals(-3.0), written_decimals(1.5e-05)
    (1, 0, 6)
    """
    mantissa, _, exponent = repr(value).partition("e")
    digits = len(mantissa.partition(".")[2].rstrip("0")) - int(exponent or 0)
    return min(max(digits, 0), 17)


def probability_words(probability: float) -> str:
    """Return the probability of so large a statistic, as "p = 0.043", "p < 0.001"."""
    return "p < 0.001" if probability < 0.001 else f"p = {probability:.3f}"
