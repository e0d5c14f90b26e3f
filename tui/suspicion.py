"""What is suspect just now, as the reading screen needs it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from sessions.analysis import Analysis
from sessions.entries import Reading
from sessions.matrix import CellReading, Matrix
from solver.flags import Flag
from tui.widgets.formats import signed
from tui.widgets.marks import Characters, Tone


@dataclass(frozen=True, slots=True)
class Suspicion:
    """The flags of an analysis, heaviest first, and the tones that they give to cells."""

    flags: tuple[Flag, ...] = ()
    tones: Mapping[tuple[int, int], Tone] = field(default_factory=dict)

    @classmethod
    def of(cls, analysis: Analysis, matrix: Matrix) -> Suspicion:
        """Draw the suspicion from an analysis; a reading struck since is no longer suspect."""
        flags = tuple(flag for flag in analysis.flags if _counts(matrix, flag.entry))
        tones: dict[tuple[int, int], Tone] = {}
        for flag in reversed(flags):
            tone = Tone.STRONG_SUSPECT if flag.strong else Tone.SUSPECT
            if tones.get((flag.run, flag.step)) is not Tone.STRONG_SUSPECT:
                tones[flag.run, flag.step] = tone
        return cls(flags, tones)

    def changed_since(self, before: Suspicion) -> set[tuple[int, int]]:
        """Return the cells whose tone is another than before."""
        places = self.tones.keys() | before.tones.keys()
        return {place for place in places if self.tones.get(place) is not before.tones.get(place)}

    def at(self, run: int, step: int) -> Flag | None:
        """Return the heaviest flag of a cell."""
        return next((flag for flag in self.flags if (flag.run, flag.step) == (run, step)), None)

    def of_entry(self, number: int) -> Flag | None:
        """Return the heaviest flag of a reading."""
        return next((flag for flag in self.flags if flag.entry == number), None)

    @property
    def keys(self) -> set[tuple[int, str]]:
        """By what flags are told apart: entry and test."""
        return {(flag.entry, flag.test) for flag in self.flags}

    def to_say(self, said: set[tuple[int, str]], last: Reading | None) -> Flag | None:
        """Return the flag to say of those not said before: of the reading typed last, else the heaviest."""
        fresh = [flag for flag in self.flags if (flag.entry, flag.test) not in said]
        own = (flag for flag in fresh if last is not None and flag.entry == last.number)
        return next(own, fresh[0] if fresh else None)

    def after(self, run: int, step: int) -> Flag | None:
        """Return the heaviest flag of the next cell in the order of weight after that one, round to the heaviest."""
        cells = list(dict.fromkeys((flag.run, flag.step) for flag in self.flags))
        if not cells:
            return None
        following = cells.index((run, step)) + 1 if (run, step) in cells else 0
        return self.at(*cells[following % len(cells)])


def cell_words(readings: tuple[CellReading, ...], decimals: int, signs: Characters) -> str:
    """Say what stands in a cell: every reading, and of a struck or kept one the reason."""
    words = []
    for reading in readings:
        text = signed(reading.value, decimals, signs)
        words.append(text if not reading.reason else f"{text} {reading.status} ({reading.reason})")
    return "Here: " + ", ".join(words) + "."


def _counts(matrix: Matrix, number: int) -> bool:
    reading = matrix.reading(number)
    return reading is not None and reading.counts
