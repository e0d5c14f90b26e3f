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
        Fine positions, which are the positions where no arcs are read; not determined where no run stops at one.
    """
    place = adjustment.columns.place[CIRCLES.index(circle) * adjustment.closure.fine :]
    ends = place[to], place[start]
    found = differences(adjustment.theta, adjustment.cofactor, *(np.maximum(each, 0) for each in ends))
    return found.without((ends[0] < 0) | (ends[1] < 0))
