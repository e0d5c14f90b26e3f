"""The table of offsets that could be added: what each makes of the uncertainties."""

from __future__ import annotations

from math import isnan

from sessions.circle_words import angle_words
from sessions.extending import Candidate, Outlook, Uncertainty
from sessions.rounding import decimals_for
from tui.plan_columns import hours_words
from tui.widgets.formats import plain
from tui.widgets.marks import Characters

#: Decimals above which a change fills its column.
_WIDE = 4


class ExtendTable:
    """Headings and lines.

    Parameters
    ----------
    outlook : Outlook
        The candidates.
    signs : Characters
        The set of characters.
    """

    def __init__(self, outlook: Outlook, signs: Characters) -> None:
        self._outlook = outlook
        self._signs = signs
        self._dual = outlook.design.closure == "dual"
        self._arrow = " > " if signs.degree == "" else " → "
        known = [
            value
            for each in outlook.candidates
            for value in (each.then.lower, each.then.upper)
            if value > 0 and not isnan(value)
        ]
        self._decimals = max(decimals_for(min(known)) + 1, 0) if known else 3
        if self._decimals > _WIDE:
            self._arrow = self._arrow.strip()

    @property
    def unit(self) -> str:
        """The sign of the unit, none where uncertainties are in units of the deviation of a cell."""
        return "" if isnan(self._outlook.deviation) else self._signs.arcsec

    def headings(self) -> tuple[str, str]:
        """Return the two lines above the rows."""
        unit = f", {self.unit}" if self.unit else ", in s.d. of a cell"
        upper = f"{'':17}u of a position error{unit}, now{self._arrow}then"
        names = ("lower", "upper") if self._dual else ("error",)
        lower = f"{'offset':>6}{'upper at':>9}  " if self._dual else " " * 17
        lower += "".join(f"{name:<17}" for name in names)
        return upper, f"{lower}{'readings':>9}{'hours':>6}"

    def row(self, candidate: Candidate) -> str:
        """Return the line of a candidate."""
        n = self._outlook.design.positions
        if self._dual:
            at = angle_words(candidate.offset, n).replace("°", self._signs.degree)
            line = f"{candidate.offset:>6}{at:>9}  "
        else:
            line = f"{'one run more':>15}  "
        line += "".join(f"{words:<17}" for words in self._changes(candidate.then))
        line += f"{candidate.readings:>9}{hours_words(candidate.hours):>6}"
        return f"{line}  planned" if candidate.unread else line

    def number(self, value: float) -> str:
        """Return an uncertainty without its unit."""
        return plain(value, self._decimals, self._signs)

    def stated(self, value: float) -> str:
        """Return an uncertainty with its unit."""
        return f"{self.number(value)}{self.unit or ' s.d. of a cell'}"

    def _changes(self, then: Uncertainty) -> list[str]:
        pairs = [(self._outlook.now.lower, then.lower), (self._outlook.now.upper, then.upper)]
        return [
            f"{self.number(before)}{self._arrow}{self.number(after)}"
            for before, after in (pairs if self._dual else pairs[:1])
        ]
