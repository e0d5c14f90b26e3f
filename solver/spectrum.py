"""Harmonics of the position errors of a circle, and how large chance alone would make them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from solver.adjust import Adjustment
from solver.closure import Floats, Ints
from solver.harmonics import Harmonics, harmonics
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
    _, part = adjustment.part(circle)
    found = harmonics(values.position.value, part.matrix, deviation, freedom)
    return Spectrum(found.order, found.amplitude, limits(found, n, level))


def limits(found: Harmonics, positions: int, level: float = 0.05) -> Floats:
    """Return the amplitudes that scatter alone exceeds with a probability, shape (H,); nan where it is not known.

    Exact where both parts of a harmonic have one variance and no covariance, as with every run complete; with gaps
    the mean of the variances stands for both, and `Harmonics.p_value` is the exact test.
    """
    if not found.freedom > 0 or np.isnan(found.deviation):
        return np.full(len(found.order), np.nan)
    parts = np.where(2 * found.order == positions, 1.0, 2.0)
    variance = np.maximum(found.variance, 0.0)
    return np.asarray(found.deviation * np.sqrt(variance * parts * fisher(level, parts, found.freedom)))
