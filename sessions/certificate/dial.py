"""Where the polar plot of a certificate draws errors: the dial, gaps, and which positions are numbered."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil, floor, log10

import numpy as np

from solver.closure import Flags, Floats

#: How far the largest error with its uncertainty reaches from the circle of error 0, whose radius is 1.
REACH = 0.42
#: Numbers up to which all positions are numbered.
_MOST_NUMBERS = 24
#: Tolerances up to so many times the largest error are drawn; a larger one would flatten the errors.
_TOLERANCE_IN_VIEW = 2.0


@dataclass(frozen=True, slots=True)
class Dial:
    """Where an error at an angle is drawn.

    Parameters
    ----------
    scale : float
        Radius that one arc second makes; an error of 0 lies at radius 1.
    step : float
        Error from one thin circle to the next, arc seconds.
    """

    scale: float
    step: float

    def at(self, angle: Floats, error: Floats) -> Floats:
        """Return x and y, shape (2, …), for angles in degrees: 0 at the top, rising clockwise."""
        turn, radius = np.radians(angle), 1 + self.scale * np.asarray(error)
        return np.array([radius * np.sin(turn), radius * np.cos(turn)])

    def rings(self) -> Floats:
        """Return the errors of the thin circles, arc seconds, the circle of error 0 left out."""
        count = floor(REACH / (self.scale * self.step) + 1e-9)
        return np.array([k * self.step for k in range(-count, count + 1) if k])


def dial(error: Floats, expanded: Floats, tolerance: float | None) -> Dial:
    """Return the dial on which all errors with their expanded uncertainties, (n,) arrays, find room.

    A tolerance is in view unless it is far larger.
    """
    known = drawn(error, expanded)
    largest = float(np.max(np.abs(error[known]) + expanded[known], initial=0.0))
    if tolerance is not None and tolerance <= _TOLERANCE_IN_VIEW * largest:
        largest = max(largest, tolerance)
    largest = largest or 1.0
    rough = largest / 4
    power = 10.0 ** floor(log10(rough))
    step = next(factor * power for factor in (1, 2, 5, 10) if factor * power >= rough * (1 - 1e-9))
    return Dial(REACH / largest, step)


def drawn(error: Floats, expanded: Floats) -> Flags:
    """Return which errors are determined with their uncertainties; the others leave gaps."""
    return np.isfinite(error) & np.isfinite(expanded)


def stretches(known: Flags) -> Iterator[tuple[int, int]]:
    """Yield first and last position of each stretch without a gap; last may pass n - 1, or reach n for all round."""
    n = len(known)
    if known.all():
        yield 0, n
        return
    gaps = np.flatnonzero(~known)
    for gap, following in zip(gaps, [*gaps[1:], gaps[:1].sum() + n], strict=True):
        if following - gap > 1:
            yield int(gap) + 1, int(following) - 1


def numbered(n: int) -> range:
    """Return which of n positions are numbered: all, or evenly spaced ones where n lets them be."""
    if n <= _MOST_NUMBERS:
        return range(n)
    even = [every for every in range(2, n) if n % every == 0 and n // every <= _MOST_NUMBERS // 2]
    least = ceil(n / (_MOST_NUMBERS // 2))
    every = even[0] if even and even[0] <= 2 * least else least
    return range(0, n - every // 2, every)


def in_view(tolerance: float, on: Dial) -> bool:
    """Return whether a tolerance finds room on a dial."""
    return tolerance * on.scale <= REACH * (1 + 1e-9)
