"""The difference of any two position errors of a circle."""

from __future__ import annotations

import numpy as np

from solver.adjust import CIRCLES, Adjustment
from solver.circle import Values, differences
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
    """
    return differences(*adjustment.part(circle), to, start)


def between_fine(adjustment: Adjustment, circle: str, to: Ints, start: Ints) -> Values:
    """Return the same for fine positions, not determined where no run stops at one of the two.

    Parameters
    ----------
    adjustment : Adjustment
        The adjustment.
    circle : str
        "lower" or "upper".
    to, start : (M,) int arrays
        Fine positions.
    """
    which = CIRCLES.index(circle)
    where, at = adjustment.columns.where(which), adjustment.columns.positions[which]
    place = np.full(adjustment.closure.fine, -1)
    place[at] = np.arange(len(at))
    ends = np.maximum(place[to], 0), np.maximum(place[start], 0)
    cofactor = adjustment.cofactor.part(where.start, where.stop)
    found = differences(adjustment.theta[where], cofactor, *ends)
    return found.without((place[to] < 0) | (place[start] < 0))
