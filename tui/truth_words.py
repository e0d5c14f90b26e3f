"""The truth of a practice session in words and columns, for the screen and the command alike."""

from __future__ import annotations

import numpy as np

from sessions.circle_words import angle_words
from sessions.counted import counted_are, verb_for
from sessions.practice.bench import Taken
from sessions.practice.debrief import CircleTruth, Debrief, Outcome
from sessions.rounding import decimals_for, decimals_of_column
from tui.widgets.formats import plain, signed
from tui.widgets.marks import Characters

#: Marks a true error that does not lie within U, so that it does not hang on a colour.
OUTSIDE = "!"
_KINDS = {
    "sign": "the sign called out wrongly",
    "digits": "two digits called out swapped",
    "decimal": "the point called out in the wrong place",
    "neighbour": "the next position set",
    "knocked": "the mirror knocked",
}


def summary(found: Debrief, signs: Characters) -> list[str]:
    """Return sentences on how well it went, the most important first."""
    words = []
    if found.to_read:
        words.append(f"{counted_are(found.to_read, 'planned cell')} not read.")
    if found.known:
        expected = found.probability * found.known
        words.append(
            f"{found.inside} of {found.known} true errors lie within U of the solved ones; with U at "
            f"{100 * found.probability:g} % about {expected:.0f} should."
        )
    else:
        words.append("No error is determined with an uncertainty yet.")
    true, measured = found.deviation, found.found
    decimals = max(decimals_for(true), 0)
    spread = f"Standard deviation of a cell: true {plain(true, decimals, signs)}{signs.arcsec}"
    if np.isfinite(measured):
        spread += f", found {plain(measured, decimals, signs)}{signs.arcsec}"
    words.append(f"{spread}.")
    if found.tooth is not None:
        words.append(
            f"Position {found.tooth.position} of the {found.tooth.circle} circle had a lazy tooth: it seated badly."
        )
    return words


def judgement(found: Debrief, signs: Characters, decimals: int) -> list[str]:
    """Return a sentence on each slip, each reading typed wrongly, and on good readings that were struck."""
    words = [_slip_words(outcome, signs, decimals) for outcome in found.slips]
    words += [
        f"{_place(each)}: typed {signed(each.reading.value, decimals, signs)}, "
        f"shown was {signed(each.shown.value, decimals, signs)}."
        for each in found.mistyped
    ]
    if found.struck:
        entries = ", ".join(str(each.reading.number) for each in found.struck)
        noun = "reading" if len(found.struck) == 1 else "readings"
        words.append(
            f"Nothing was wrong with {noun} {entries}, which {verb_for(len(found.struck), 'were')} struck."
        )
    return words


def _slip_words(outcome: Outcome, signs: Characters, decimals: int) -> str:
    first = outcome.readings[0]
    shown = signed(first.shown.value, decimals, signs)
    right = signed(first.shown.right, decimals, signs)
    fates = {
        "put right": "put right",
        "flagged": "flagged, and left as it was",
        "kept": "kept on purpose",
        "missed": "missed",
    }
    where = f"run {outcome.slip.run} step {outcome.slip.step}"
    return f"{where}: {_KINDS[outcome.slip.kind]}, {shown} for {right}: {fates[outcome.fate]}."


def _place(taken: Taken) -> str:
    return f"run {taken.reading.run} step {taken.reading.step}"


class TruthTable:
    """True and solved errors side by side.

    Parameters
    ----------
    found : Debrief
        The debrief.
    signs : Characters
        The set of characters.
    """

    def __init__(self, found: Debrief, signs: Characters) -> None:
        self._signs = signs
        self._circles = found.circles
        self._at, self._turn = found.circles[0].at, found.turn
        expanded = np.concatenate([circle.expanded for circle in found.circles])
        self._decimals = decimals_of_column(expanded)
        largest = max(
            float(np.nanmax(np.abs([c.true, c.solved, c.expanded]), initial=0.0)) for c in self._circles
        )
        self._width = max(len(f"{largest:.{self._decimals}f}") + 1, len("solved")) + 2

    @property
    def headings(self) -> tuple[str, str]:
        """The two lines above the rows."""
        signs, width = self._signs, self._width
        pair = 3 * width + 2
        upper = " " * 13 + "".join(f"{circle.name:>{pair - 2}}  " for circle in self._circles)
        columns = f"{'true':>{width}}{'solved':>{width}}{signs.plus_minus + ' U':>{width}}  "
        return upper.rstrip(), (f"{'pos':>4}{'angle':>9}" + columns * len(self._circles)).rstrip()

    @property
    def rows(self) -> tuple[str, ...]:
        """A line for each position."""
        return tuple(self._row(index) for index in range(len(self._at)))

    def _row(self, index: int) -> str:
        position = int(self._at[index])
        angle = angle_words(position, self._turn).replace("°", self._signs.degree)
        line = f"{position:>4}{angle:>9}"
        return (line + "".join(self._cells(circle, index) for circle in self._circles)).rstrip()

    def _cells(self, circle: CircleTruth, index: int) -> str:
        signs, width, decimals = self._signs, self._width, self._decimals
        values = (
            signed(float(circle.true[index]), decimals, signs),
            signed(float(circle.solved[index]), decimals, signs),
            plain(float(circle.expanded[index]), decimals, signs),
        )
        outside = bool(circle.known[index]) and not circle.inside[index]
        return "".join(f"{value:>{width}}" for value in values) + (f" {OUTSIDE}" if outside else "  ")
