"""The uncertainty of the fixed angle of a single closure with the lines of a budget."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from solver.budget import Line, Uncertainty, combine_by
from solver.closure import Floats
from solver.effects import Effect


def fixed_angle(
    value: Floats,
    root: Floats,
    positions: int,
    deviation: float,
    freedom: float,
    lines: Sequence[Line],
    probability: float,
) -> Uncertainty:
    """Combine the scatter of the readings with the lines of a budget for the error x of the fixed angle.

    Parameters
    ----------
    value, root : (1,) arrays
        x, arc seconds, and the root of its cofactor.
    positions : int
        n, on the circle.
    deviation, freedom, lines, probability
        As for `solver.budget.combine`.

    Notes
    -----
    A reading is p (b[t] - x), and the errors b of the intervals sum to zero, so -p x is the mean over the n intervals
    of the mean reading of each (`solver.closure`). An error r[t] that the readings of interval t share moves x by the
    mean of r (JCGM 100, 5.1.2, equation 10). For a source of unit standard uncertainty that is the variance:

    - "cell": the cofactor of x.
    - "proportional": x², since x is linear in the readings.
    - "harmonic" and "shape", functions d of the position: r[t] = d[t] - d[t-1] sums to zero round the circle. They
      cancel by closure.
    - "ramp": what grows by 1 over the turn and does not come back gives each reading 1/n, so 1/n².
    - "constant": what all readings share is not told from x, so 1.
    - "position": cancels like a function of the position where it belongs to the circle, and averages where the
      readings are wrong independently. Where the instrument is wrong at the one place where all readings lie, they
      share it. The line does not say which, so the largest of these, 1, is taken (JCGM 100, 5.2.2, note 1: the
      uncertainty of a mean of fully correlated readings is that of one).
    """
    n = positions

    def spread_of(effect: Effect) -> Floats:
        match effect.kind:
            case "cell":
                return np.asarray(root**2)
            case "proportional":
                return np.asarray(value**2)
            case "harmonic" | "shape":
                return np.zeros_like(value)
            case "ramp":
                return np.full_like(value, n**-2.0)
            case "constant" | "position":
                return np.ones_like(value)

    return combine_by(spread_of, "lower", root, deviation, freedom, lines, probability)
