"""The harmonics of a circle as lines of a width: numbers, a bar against what scatter alone makes, the likely cause."""

from __future__ import annotations

import math

import numpy as np

from sessions.circle_analysis import CircleAnalysis
from sessions.rounding import decimals_of_column
from tui.widgets.formats import fit, plain
from tui.widgets.marks import Characters

_LEAST_BAR, _MOST_BAR = len("scatter╎"), 40
_CAUSE = len("ellipse or tilt")
#: Columns of the numbers: order, amplitude and its uncertainty, angle of the peak, p.
_ORDER, _PEAK, _P = 5, 9, 8


class HarmonicRows:
    """Lines of the harmonics of one circle.

    Parameters
    ----------
    circle : CircleAnalysis
        Taken apart.
    width : int
        Characters to a line. The cause goes first where there is little room, then the bar; numbers are never cut.
    signs : Characters
        The set of characters.
    """

    def __init__(self, circle: CircleAnalysis, width: int, signs: Characters) -> None:
        self._circle = circle
        self._signs = signs
        self._uncertainty = circle.u.amplitude.expanded
        usable = self._uncertainty[np.isfinite(self._uncertainty) & (self._uncertainty > 0)]
        self._decimals = decimals_of_column(self._uncertainty)
        whole = len(f"{circle.found.amplitude.max(initial=0.0):.0f}")
        self._number = max(9, whole + 1 + self._decimals)
        self._second = (
            len(signs.plus_minus) + 1 + len(f"{usable.max(initial=0.0):.{self._decimals}f}")
            if usable.size
            else 4
        )
        numbers = 3 + _ORDER + 2 + self._number + 1 + self._second + _PEAK + _P
        left = width - numbers - 2
        cause = max((len(words) for words in circle.causes), default=0)
        cause = min(cause, _CAUSE + 12)
        self._cause = cause if left - cause - 2 >= _LEAST_BAR else 0
        bar = left - (self._cause + 2 if self._cause else 0)
        self._bar = min(bar, _MOST_BAR) if bar >= _LEAST_BAR else 0
        heights = [circle.found.amplitude, circle.limit[np.isfinite(circle.limit)]]
        self._largest = max((float(each.max(initial=0.0)) for each in heights), default=0.0)

    @property
    def titles(self) -> tuple[str, str]:
        """Return what the rows are, and what their marks mean."""
        what = f"harmonics of the {self._circle.name} errors, {self._signs.arcsec}"
        return what, "* significant, ** even among all orders"

    @property
    def heading(self) -> str:
        """Return the names of the columns."""
        signs = self._signs
        line = (
            "   "
            + "order".rjust(_ORDER)
            + "  "
            + "amplitude".rjust(self._number)
            + " "
            + f"{signs.plus_minus} U".ljust(self._second)
            + "peak at".rjust(_PEAK)
            + "p".rjust(_P)
        )
        if self._bar:
            long, short = f"amplitude, scatter up to {self._limit_sign}", f"scatter{self._limit_sign}"
            what = long if len(long) <= self._bar else short
            line += "  " + what.ljust(self._bar)
        if self._cause:
            line += "  likely cause"
        return line.rstrip()

    @property
    def _limit_sign(self) -> str:
        return "|" if self._ascii else "╎"

    @property
    def _ascii(self) -> bool:
        return self._signs.minus == "-"

    def row(self, index: int) -> str:
        """Return the line of one order."""
        circle, signs = self._circle, self._signs
        found = circle.found
        order = int(found.order[index])
        mark = "**" if circle.significant_among_all[index] else " *" if circle.significant[index] else "  "
        removed = order in circle.removed
        peak = float(found.peak[index]) if circle.significant[index] else math.nan
        line = (
            mark
            + (signs.minus if removed else " ")
            + f"{order:>{_ORDER}}  "
            + plain(float(found.amplitude[index]), self._decimals, signs).rjust(self._number)
            + " "
            + f"{signs.plus_minus} {plain(float(self._uncertainty[index]), self._decimals, signs)}".ljust(
                self._second
            )
            + (plain(peak, 1, signs) + ("" if math.isnan(peak) else signs.degree)).rjust(_PEAK)
            + self._probability(float(found.p_value[index])).rjust(_P)
        )
        if self._bar:
            line += "  " + self._drawn(float(found.amplitude[index]), float(circle.limit[index]), removed)
        if self._cause:
            line += "  " + fit(circle.causes[index], self._cause, signs)
        return line.rstrip()

    def _probability(self, value: float) -> str:
        if math.isnan(value):
            return self._signs.undetermined
        return "<0.0001" if value < 0.0001 else f"{value:.4f}"

    def _drawn(self, amplitude: float, limit: float, removed: bool) -> str:
        """Return a bar, with a stroke where scatter alone would end."""
        full, taken = ("#", "-") if self._ascii else ("█", "░")
        cells = [" "] * self._bar
        if self._largest > 0:
            end = round(amplitude / self._largest * self._bar)
            cells[:end] = [taken if removed else full] * end
            if math.isfinite(limit):
                cells[min(round(limit / self._largest * self._bar), self._bar - 1)] = self._limit_sign
        return "".join(cells)
