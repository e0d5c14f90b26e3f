"""The line that is being typed, and the unit that a gauge may send behind a number."""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import Enum

from sessions.equipment import Unit
from solver.refused import Refused

#: What a reading begins with; anything else typed into an empty line is left to the screen's keys.
READING_CHARACTERS = frozenset("0123456789.,+-−")
#: Keys of the numeric keypad that stay keys of the screen while something is typed.
_KEYPAD = frozenset("*/")

#: What some gauges, and a terminal just taken back from the shell, send for Enter.
_LINE_FEED = "ctrl+j"


class Key(Enum):
    """What a key means to the line."""

    ENTER = "enter"
    CHANGED = "changed"
    NOTHING = "nothing"
    OTHER = "other"


#: A reading of more characters than this is not one.
LONGEST = 24

#: Said where something is pasted onto what is half typed.
IN_THE_WAY = "“{}” is still in the line: press Enter or Escape, then paste."

#: How the units are written behind a number, without blanks, in small letters.
_SPELLINGS: dict[Unit, tuple[str, ...]] = {
    "arcsec": ('"', "″", "''", "sec", "arcsec", "arcseconds"),
    "urad": ("urad", "µrad", "μrad", "microrad", "microradians"),
}
_PARTS = re.compile(r"\s*([-+−]?[\d.,]+)\s*([^\d.,+−\s-][^\d]*?)\s*")


@dataclass(slots=True)
class TypedLine:
    """The text typed so far.

    Keys are handled one after another in the order in which they came, Enter among them, so that a burst from a
    gauge that acts as a keyboard lands as typed. Once something is typed every further character belongs to the
    line, so that no letter behind a number does what the key of that letter does.
    """

    text: str = ""
    refused: bool = False

    def take(self, key: str, character: str | None) -> Key:
        """Handle a key as it comes and say what it was; one that is not the line's is left to the screen."""
        if key == "enter":
            return Key.ENTER
        if key == _LINE_FEED:
            # Alone it is an Enter; behind one, as the second half of a line end, it is nothing.
            return Key.ENTER if self.text else Key.NOTHING
        changed = (
            (key == "backspace" and self.rub_out())
            or (key == "escape" and self.clear())
            or self.type(character)
        )
        return Key.CHANGED if changed else Key.OTHER

    def type(self, character: str | None) -> bool:
        """Add a character if it belongs to the line; say whether it did."""
        if character is None or not character.isprintable() or character in _KEYPAD:
            return False
        if not self.text and character not in READING_CHARACTERS:
            return False
        if self.refused and character in READING_CHARACTERS:
            # What was refused can be mended with Backspace; the next reading does not run into it.
            self.text, self.refused = "", False
        # One more than a reading has is kept, so that Enter finds the line too long instead of cut.
        if len(self.text) <= LONGEST:
            self.text += character
        return True

    def reading(self, unit: Unit | None = None) -> str:
        """Return what is typed, without the unit behind it if that is the one given.

        Raises
        ------
        Refused
            If it is longer than any reading.
        """
        if len(self.text) > LONGEST:
            raise Refused(f"“{self.text}…” is longer than any reading", remedy="Escape empties the line")
        return self.text if unit is None else without_unit(self.text, unit)

    def rub_out(self) -> bool:
        """Take the last character away; say whether there was one."""
        had = bool(self.text)
        self.text, self.refused = self.text[:-1], False
        return had

    def clear(self) -> bool:
        """Empty the line; say whether anything stood in it."""
        had = bool(self.text)
        self.text, self.refused = "", False
        return had


def without_unit(text: str, unit: Unit) -> str:
    """Return a number without the unit behind it if that is the session's; any other text as it is.

    Parameters
    ----------
    text : str
        One line.
    unit : str
        The unit of the session, "arcsec" or "urad".
    """
    parts = _PARTS.fullmatch(text)
    return str(parts[1]) if parts is not None and _squeezed(parts[2]) in _SPELLINGS[unit] else text


def doubt(text: str, unit: Unit | None = None) -> str:
    """Say that what is typed cannot become a reading, "" while it may: a number, and the unit if one is given."""
    parts = _PARTS.fullmatch(text)
    if parts is None:
        good = len(text) <= LONGEST and not set(text.strip()) - READING_CHARACTERS
    else:
        behind = _squeezed(parts[2])
        good = unit is not None and any(spelling.startswith(behind) for spelling in _SPELLINGS[unit])
    return "" if good else f"“{text}” is no number: Backspace takes a character away, Escape all."


def _squeezed(text: str) -> str:
    return "".join(text.split()).lower()
