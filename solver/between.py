"""The difference of any two position errors of a circle."""

from __future__ import annotations

import numpy as np

from solver.adjust import Adjustment
from solver.circle import Values
from solver.closure import Ints


def between(adjustment: Adjustment, circle: str, to: Ints, start: Ints) -> Values:
    """Return position error at `to` minus position error at `start`, with the roots of their cofactors.

    Parameters
    ----------
    adjustment : Adjustment
        The adjustment.
    circle : str
        "lower" or "upper".
    to, start : (M,) int arrays
        Positions.

    Notes
    -----
    q(i - j) = q(ii) - 2 q(ij) + q(jj) (JCGM 100, 5.2.2, equation 16), the well and the weakly determined parts apart.
    """
    n = adjustment.closure.positions
    first = 0 if circle == "lower" else n
    part = adjustment.cofactor.part(first, first + n)
    error = adjustment.theta[first : first + n]
    variance = part.strong[to, to] - 2 * part.strong[to, start] + part.strong[start, start]
    variance = variance + np.linalg.norm(part.weak[to] - part.weak[start], axis=1) ** 2
    loose = np.linalg.norm(part.null[to] - part.null[start], axis=1)
    same = to == start
    return Values.of(np.where(same, 0.0, error[to] - error[start]), np.where(same, 0.0, variance), loose)
