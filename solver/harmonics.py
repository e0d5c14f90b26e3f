"""Harmonics of the errors round a circle, with their full covariance, and what remains without some of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from solver.closure import Flags, Floats, Ints
from solver.refused import Refused
from solver.tails import fisher_tail

#: An amplitude below this share of the largest error is rounding: it has neither phase nor uncertainty of one.
_ROUNDING = 1e-12


@dataclass(frozen=True, slots=True)
class Harmonics:
    """The errors of a circle of n positions as cosine and sine parts of order 1 … n // 2.

    At position i, angle t = 360° i/n, the error about the mean is the sum of ``a cos(h t) + b sin(h t)``, that is of
    ``amplitude · cos(h t - phase)``.

    Parameters
    ----------
    order : (H,) int array
        h, how often each comes in a turn.
    cosine, sine : (H,) arrays
        a and b, in the unit of the errors.
    cofactor : (H, 2, 2) array
        Cofactor matrix of (a, b); at order n/2, which has no sine part, all of it but the first entry is 0.
    deviation, freedom : float
        Standard deviation of one cell and its degrees of freedom (inf: known); nan and 0 where it is not known.

    Notes
    -----
    a = 2 Re F/n and b = -2 Im F/n of the discrete Fourier transform F, halved at order n/2. A harmonic of the circle
    of an order above n/2 falls on one of these: n positions cannot tell order h from n - h, or from n + h.
    """

    order: Ints
    cosine: Floats
    sine: Floats
    cofactor: Floats
    deviation: float
    freedom: float

    @property
    def amplitude(self) -> Floats:
        """Half of what each harmonic swings from lowest to highest, shape (H,).

        Scatter has an amplitude of its own, so one that is not far above its uncertainty is found too large: the
        square of the amplitude expects the true square and both variances.
        """
        return np.hypot(self.cosine, self.sine)

    @property
    def phase(self) -> Floats:
        """Phase of each, degrees of its own period from 0 to below 360, shape (H,); nan where there is none."""
        found = np.degrees(np.arctan2(self.sine, self.cosine)) % 360.0
        return np.where(self.tiny, np.nan, found)

    @property
    def peak(self) -> Floats:
        """Angle on the circle at which each is first at its highest, degrees from 0 to below 360/h, shape (H,)."""
        return self.phase / self.order

    @property
    def amplitude_uncertainty(self) -> Floats:
        """Standard uncertainty of each amplitude, shape (H,): JCGM 100, equation 13, along the direction of (a, b)."""
        return self.deviation * _root(self.cofactor, self.direction)

    @property
    def phase_uncertainty(self) -> Floats:
        """Standard uncertainty of each phase, degrees of its own period, shape (H,).

        By JCGM 100, equation 13, across the direction of (a, b): right for an amplitude of some four times its
        uncertainty and more. nan where there is no phase; 0 at order n/2, which has only a sign.
        """
        size = np.where(self.tiny, np.nan, self.amplitude)
        return np.degrees(self.deviation * _root(self.cofactor, self.across) / size)

    @property
    def p_value(self) -> Floats:
        """Probability with which scatter alone makes as much of a harmonic, shape (H,); nan where it is not known.

        Notes
        -----
        With the cofactor Q of (a, b), (a, b) Q⁻¹ (a, b)'/(2 s²) follows F(2, ν); at order n/2, a²/(Q s²) F(1, ν).
        """
        result = np.full(len(self.order), np.nan)
        if not self.freedom > 0 or not self.deviation > 0:
            return result
        parts = np.where(self._alone, 1.0, 2.0)
        size = np.empty(len(self.order))
        for number, matrix in enumerate(self.cofactor):
            width = int(parts[number])
            pair = np.array([self.cosine[number], self.sine[number]])[:width]
            size[number] = pair @ np.linalg.solve(matrix[:width, :width], pair)
        return fisher_tail(size / (parts * self.deviation**2), parts, self.freedom)

    @property
    def variance(self) -> Floats:
        """Mean cofactor of the parts of each harmonic, shape (H,)."""
        return np.asarray(np.trace(self.cofactor, axis1=1, axis2=2) / np.where(self._alone, 1, 2))

    @property
    def _alone(self) -> Flags:
        return np.asarray(self.cofactor[:, 1, 1] == 0.0)

    @property
    def tiny(self) -> Flags:
        """Orders whose amplitude is rounding, shape (H,)."""
        size = self.amplitude
        return np.asarray(size <= _ROUNDING * size.max(initial=0.0))

    @property
    def direction(self) -> Floats:
        """Unit vectors along (a, b), shape (H, 2)."""
        size = np.where(self.tiny, 1.0, self.amplitude)
        unit = np.column_stack([self.cosine, self.sine]) / size[:, None]
        unit[self.tiny] = (1.0, 0.0)
        return unit

    @property
    def across(self) -> Floats:
        """Unit vectors across (a, b), in which the phase rises, shape (H, 2); 0 at order n/2."""
        unit = np.asarray(self.direction[:, ::-1] * np.array([-1.0, 1.0]))
        unit[self._alone] = 0.0
        return unit


def harmonics(error: ArrayLike, cofactor: ArrayLike, deviation: float, freedom: float) -> Harmonics:
    """Return the harmonics of errors round a circle.

    Parameters
    ----------
    error : (n,) array_like
        Errors at positions 0 … n-1, equally spaced; from whatever position, as their mean plays no part.
    cofactor : (n, n) array_like
        Their cofactor matrix.
    deviation, freedom : float
        Standard deviation of one cell and its degrees of freedom (inf: known); nan and 0 where it is not known.
    """
    value = np.asarray(error, dtype=float)
    n = len(value)
    order = np.arange(1, n // 2 + 1)
    turn = _rows(n, order)
    found = turn @ value
    spread = np.einsum("hpi,ij,hqj->hpq", turn, np.asarray(cofactor, dtype=float), turn, optimize=True)
    return Harmonics(order, found[:, 0], found[:, 1], spread, deviation, freedom)


def without(error: ArrayLike, cofactor: ArrayLike, orders: Sequence[int]) -> tuple[Floats, Floats]:
    """Return errors without some harmonics, about the mean, and their cofactor matrix.

    Parameters
    ----------
    error, cofactor : (n,) and (n, n) array_like
        Errors and their cofactor matrix.
    orders : sequence of int
        Orders to take off, 1 … n // 2; with none, only the mean is.

    Raises
    ------
    Refused
        For an order that n positions do not have.
    """
    value, spread = np.asarray(error, dtype=float), np.asarray(cofactor, dtype=float)
    keep = without_rows(len(value), orders)
    return keep @ value, keep @ spread @ keep.T


def without_rows(n: int, orders: Sequence[int]) -> Floats:
    """Return the (n, n) matrix that takes the mean and some orders off n errors; refused as for `without`."""
    for order in orders:
        if not 1 <= order <= n // 2:
            raise Refused(f"{n} positions show no order {order}", where="remove", remedy=f"use 1 to {n // 2}")
    chosen = np.array(sorted(set(orders)), dtype=np.int64)
    # The projection on an order is 2/n cos(h (t_i - t_j)), half of that at order n/2.
    weight = np.where(2 * chosen == n, 1.0, 2.0) / n
    apart = weight @ np.cos(2 * np.pi * (np.outer(chosen, np.arange(n)) % n) / n)
    return np.asarray(np.eye(n) - 1 / n - apart[(np.arange(n)[:, None] - np.arange(n)) % n])


def amplitude_rows(found: Harmonics, positions: int) -> Floats:
    """Return the rows, shape (H, n), by which each amplitude is linear in the errors near those found."""
    return np.asarray(np.einsum("hp,hpi->hi", found.direction, _rows(positions, found.order)))


def phase_rows(found: Harmonics, positions: int) -> Floats:
    """Return the rows, shape (H, n), by which each phase, degrees, is linear in the errors near those found.

    nan where there is no phase; 0 at order n/2, which has only a sign.
    """
    rows = np.einsum("hp,hpi->hi", found.across, _rows(positions, found.order))
    return np.asarray(np.degrees(rows / np.where(found.tiny, np.nan, found.amplitude)[:, None]))


def folded(order: int, positions: int) -> int:
    """Return the order, 0 … n // 2, on which a harmonic of any order falls where n positions are measured."""
    rest = order % positions
    return min(rest, positions - rest)


def _rows(n: int, order: Ints) -> Floats:
    """Return the rows, shape (H, 2, n), that make a and b of the errors."""
    angle = 2 * np.pi * (np.outer(order, np.arange(n)) % n) / n
    rows = np.stack([np.cos(angle), np.sin(angle)], axis=1) * 2 / n
    alone = 2 * order == n
    rows[alone] /= 2
    rows[alone, 1] = 0.0
    return rows


def _root(matrix: Floats, along: Floats) -> Floats:
    return np.asarray(np.sqrt(np.maximum(np.einsum("hp,hpq,hq->h", along, matrix, along), 0.0)))
