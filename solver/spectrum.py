"""Harmonics of the position errors of a circle, and how large chance alone would make them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from solver.adjust import Adjustment
from solver.closure import Floats, Ints
from solver.quantile import fisher


@dataclass(frozen=True, slots=True)
class Spectrum:
    """Harmonics of order 1 … n // 2; nothing for a circle that is not determined.

    Parameters
    ----------
    order : (H,) int array
        How often each comes in a turn.
    amplitude : (H,) array
        Arc seconds.
    limit : (H,) array
        What scatter alone exceeds with the probability given; nan where the scatter is not known.
    """

    order: Ints
    amplitude: Floats
    limit: Floats


def spectrum(
    adjustment: Adjustment, circle: str, deviation: float, freedom: float, level: float = 0.05
) -> Spectrum:
    """Return the harmonics of a circle.

    Parameters
    ----------
    adjustment : Adjustment
        The adjustment.
    circle : str
        "lower" or "upper".
    deviation, freedom : float
        Standard deviation of one cell and its degrees of freedom.
    level : float
        Probability with which scatter alone exceeds a limit.

    Notes
    -----
    a = 2/n Σ e cos, b = 2/n Σ e sin (halved at order n/2, where b is 0), their cofactors by JCGM 100, 5.2.2. Where
    a and b have the variance v each, (a² + b²)/(2 v) follows F(2, ν); at order n/2, a²/v follows F(1, ν).
    """
    n = adjustment.closure.positions
    values = adjustment.lower if circle == "lower" else adjustment.upper
    nothing = Spectrum(np.zeros(0, dtype=np.int64), np.zeros(0), np.zeros(0))
    if values is None or not values.position.determined:
        return nothing
    first = 0 if circle == "lower" else n
    part = adjustment.cofactor.part(first, first + n)
    order = np.arange(1, n // 2 + 1)
    turn = np.exp(2j * np.pi * np.outer(order, np.arange(n)) / n) * 2 / n
    alone = 2 * order == n
    turn[alone] = turn[alone].real / 2
    amplitude = np.abs(turn @ values.position.value)
    # Mean of the variances of a and b: w* Q w over the number of parts.
    variance = np.einsum("hi,ij,hj->h", turn.conj(), part.matrix, turn).real / np.where(alone, 1, 2)
    if not freedom > 0 or np.isnan(deviation):
        return Spectrum(order, amplitude, np.full(len(order), np.nan))
    parts = np.where(alone, 1.0, 2.0)
    limit = deviation * np.sqrt(np.maximum(variance, 0.0) * parts * fisher(level, parts, freedom))
    return Spectrum(order, amplitude, limit)
