"""The signs of the screen: what a cell is, said by a character, with a plain ASCII twin of each set.

Colour only ever repeats what a sign says already, so every tone has a sign of its own.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum


class Tone(Enum):
    """What a cell, or a reading, is."""

    EMPTY = "empty"
    PLANNED_NEXT = "next"
    PLAIN = "plain"
    REPEAT = "repeat"
    STRUCK = "struck"
    KEPT = "kept"
    SUSPECT = "suspect"
    STRONG_SUSPECT = "strong"
    UNDETERMINED = "undetermined"


@dataclass(frozen=True, slots=True)
class Characters:
    """One set of the characters that the widgets draw with; `UNICODE` and `ASCII` are the two sets.

    Parameters
    ----------
    marks : mapping of Tone to str
        The sign beside a cell of that tone; tones without one are not in it.
    blank, undetermined, slot : str
        An empty cell, a value not determined yet, and the place where the next digit goes.
    cursor, here : str
        The sign before the cell under the cursor, and before its headings.
    more : str
        Stands for text that does not fit; numbers are never cut.
    minus, plus_minus, arcsec, degree : str
        Signs in numbers.
    lower, upper, both : str
        Plot markers of the lower and the upper circle, and of a place where the two meet.
    lower_bar, upper_bar, zero : str
        Bars of uncertainty and the line at zero.
    down, up : str
        Which way the rows of a run are read, where there are two ways.
    split : str
        The sign beside the first cell of a run that has another constant from there on.
    times : str
        Signs for a number of readings, from two on.
    """

    marks: Mapping[Tone, str]
    blank: str
    undetermined: str
    slot: str
    cursor: str
    here: str
    more: str
    minus: str
    plus_minus: str
    arcsec: str
    degree: str
    lower: str
    upper: str
    both: str
    lower_bar: str
    upper_bar: str
    zero: str
    down: str
    up: str
    split: str
    times: str

    def mark(self, tone: Tone) -> str:
        """Return the sign of a tone, one character, a space where it has none."""
        return self.marks.get(tone, " ")

    def repeats(self, count: int) -> str:
        """Return the sign of a cell that holds `count` readings, one character."""
        if count < 2:
            return " "
        return self.times[min(count, len(self.times) + 1) - 2]

    @property
    def legend(self) -> str:
        """What the signs in the matrix mean, in one line."""
        meanings = (
            (self.repeats(2), "two readings, and so on"),
            (self.mark(Tone.SUSPECT), "suspect"),
            (self.mark(Tone.STRONG_SUSPECT), "suspect even at 1 %"),
            (self.mark(Tone.KEPT), "kept on purpose"),
            (self.mark(Tone.STRUCK), "struck"),
            (self.split, "split from here on"),
            (self.mark(Tone.PLANNED_NEXT), "the bench goes next"),
            (self.cursor, "typed readings go here"),
            (self.blank, "still to be read"),
            (self.undetermined, "not determined yet"),
        )
        return "Signs: " + "; ".join(f"{sign} {meaning}" for sign, meaning in meanings) + "."


UNICODE = Characters(
    marks={
        Tone.PLANNED_NEXT: "◂",
        Tone.REPEAT: "²",
        Tone.STRUCK: "×",
        Tone.KEPT: "†",
        Tone.SUSPECT: "?",
        Tone.STRONG_SUSPECT: "‼",
    },
    blank="_",
    undetermined="·",
    slot="_",
    cursor="▐",
    here="▸",
    more="…",
    minus="−",
    plus_minus="±",
    arcsec="″",
    degree="°",
    lower="●",
    upper="○",
    both="◉",
    lower_bar="│",
    upper_bar="╎",
    zero="─",
    down="↓",
    up="↑",
    split="÷",
    times="²³⁴⁵⁶⁷⁸⁹⁺",
)

ASCII = Characters(
    marks={
        Tone.PLANNED_NEXT: "<",
        Tone.REPEAT: ":",
        Tone.STRUCK: "x",
        Tone.KEPT: "k",
        Tone.SUSPECT: "?",
        Tone.STRONG_SUSPECT: "!",
    },
    blank="_",
    undetermined=".",
    slot="_",
    cursor="[",
    here=">",
    more="~",
    minus="-",
    plus_minus="+-",
    arcsec='"',
    degree="",
    lower="o",
    upper="x",
    both="*",
    lower_bar="|",
    upper_bar=":",
    zero="-",
    down="v",
    up="^",
    split="/",
    times=":",
)


def characters(ascii_only: bool) -> Characters:
    """Return the set to draw with."""
    return ASCII if ascii_only else UNICODE
