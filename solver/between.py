"""The difference of any two position errors of a circle."""

from __future__ import annotations

from solver.adjust import Adjustment
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
