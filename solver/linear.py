"""The uncertainty, with the lines of a budget, of anything that is linear in the position errors of a circle."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from solver.budget import Line, Uncertainty, combine_by
from solver.closure import Floats
from solver.effects import Effect, functions


def combine_linear(
    circle: str,
    rows: ArrayLike,
    error: ArrayLike,
    cofactor: ArrayLike,
    deviation: float,
    freedom: float,
    lines: Sequence[Line],
    probability: float,
) -> Uncertainty:
    """Combine the scatter of the readings with the lines of a budget for M linear functions of the errors.

    Parameters
    ----------
    circle : str
        "lower" or "upper".
    rows : (M, n) array_like
        One function each; what a row has in common at all positions plays no part, as no absolute angle is measured.
        A row with nan makes a result that is not determined.
    error, cofactor : (n,) and (n, n) array_like
        Position errors about the mean and their cofactor matrix.
    deviation, freedom, lines, probability
        As for `solver.budget.combine`.

    Notes
    -----
    For a row w with its mean taken off and effects d of covariance V at the positions, the variance is w' V w
    (JCGM 100, 5.2.2, equation 13), with V as in `solver.effects.spread`. For the parts a and b of a harmonic, whose
    rows are 2/n cos and 2/n sin (half of that at order n/2):

    - "cell": w' Q w with the cofactor matrix Q of the errors.
    - "position", V = 1: w'w = 2/n (1/n at order n/2).
    - "constant": 0.
    - "proportional": (w' error)²: the amplitude is wrong in proportion, the phase not at all.
    - "harmonic" of order m: all of it on the order on which m falls, nothing on any other. Of unknown phase, a and b
      have its variance each and none in common, so the amplitude has u, and the phase u over the amplitude.
    - "ramp" and "shape" f: (w'f)².
    """
    given, spread = np.asarray(rows, dtype=float), np.asarray(cofactor, dtype=float)
    weights: Floats = given - given.mean(axis=1, keepdims=True)
    n = weights.shape[1]
    value = weights @ np.asarray(error, dtype=float)
    variance = np.einsum("mi,mi->m", weights @ spread, weights)
    root = np.sqrt(np.maximum(variance, 0.0))

    def spread_of(effect: Effect) -> Floats:
        match effect.kind:
            case "cell":
                return np.asarray(root**2)
            case "position":
                return np.asarray((weights**2).sum(axis=1))
            case "constant":
                return np.zeros(len(weights))
            case "proportional":
                return np.asarray(value**2)
            case "harmonic" | "ramp" | "shape":
                return np.asarray(sum((weights @ each) ** 2 for each in functions(effect, n)))

    return combine_by(spread_of, circle, root, deviation, freedom, lines, probability)
