"""Scales of the plot: round numbers on whole rows, angles on whole columns."""

from __future__ import annotations

import math
from dataclasses import dataclass

from tui.widgets.formats import signed
from tui.widgets.marks import Characters

_ROUND = (1.0, 2.0, 5.0)
#: How many rows may lie between two marks, in the order of liking.
_BETWEEN = (3, 2, 4)
_ANGLES = (15, 30, 45, 60, 90, 180)


@dataclass(frozen=True, slots=True)
class Scale:
    """A vertical scale with zero in the middle of a row.

    Parameters
    ----------
    unit : float
        Height of a row.
    zero : int
        Row of zero, counted from the bottom.
    rows : int
        Number of rows.
    step : float
        Distance of the marks.
    """

    unit: float
    zero: int
    rows: int
    step: float

    @classmethod
    def of(cls, low: float, high: float, rows: int) -> Scale:
        """Return the finest scale of 2 rows or more that holds zero and everything from low to high."""
        low, high = min(low, 0.0), max(high, 0.0)
        span = high - low or 1.0
        exponent = math.floor(math.log10(span / rows)) - 1
        best = None
        for power in range(exponent, exponent + 4):
            for round_number in _ROUND:
                for between in _BETWEEN:
                    step = round_number * 10.0**power
                    unit = step / between
                    above, below = math.ceil(high / unit - 0.5), math.ceil(-low / unit - 0.5)
                    fits = above + below + 1 <= rows and unit < (best.unit if best else math.inf)
                    if fits:
                        spare = rows - above - below - 1
                        best = cls(unit, below + spare // 2, rows, step)
        if best is None:
            raise ValueError(f"no scale from {low} to {high} in {rows} rows")
        return best

    def row(self, value: float) -> int:
        """Return the row of a value, counted from the bottom."""
        return self.zero + math.floor(value / self.unit + 0.5)

    def marks(self, signs: Characters) -> tuple[tuple[int, str], ...]:
        """Return the rows of the marks with their labels, which are of one length."""
        decimals = max(0, -math.floor(math.log10(self.step) + 1e-9))
        between = round(self.step / self.unit)
        rows = range(self.zero % between, self.rows, between)
        labels = [signed((row - self.zero) * self.unit, decimals, signs) for row in rows]
        width = max(len(label) for label in labels)
        return tuple((row, f"{label.rjust(width)} ") for row, label in zip(rows, labels, strict=True))


def column(angle: float, columns: int) -> int:
    """Return the column of an angle on an axis from 0° to 360°."""
    return round(angle / 360 * (columns - 1))


def angle_marks(columns: int, signs: Characters) -> tuple[tuple[int, str], ...]:
    """Return the columns of round angles with their labels, as many as have room."""
    room = len("360°") + 3
    step = next((angle for angle in _ANGLES if (columns - 1) * angle / 360 >= room), 360)
    return tuple((column(angle, columns), f"{angle}{signs.degree}") for angle in range(0, 361, step))
