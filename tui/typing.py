"""The line that is being typed: shape only, no meaning."""

from __future__ import annotations

from dataclasses import dataclass

#: What may stand in a reading; anything else is left to the screen's keys.
READING_CHARACTERS = frozenset("0123456789.,+-−")

#: A reading of more characters than this is not one.
LONGEST = 24


@dataclass(slots=True)
class TypedLine:
    """The text typed so far.

    Keys are handled one after another in the order in which they came, Enter among them, so that a burst from a
    gauge that acts as a keyboard lands as typed.
    """

    text: str = ""

    def type(self, character: str | None) -> bool:
        """Add a character if it can stand in a reading; say whether it was taken."""
        if character is None or character not in READING_CHARACTERS or len(self.text) >= LONGEST:
            return False
        self.text += character
        return True

    def rub_out(self) -> bool:
        """Take the last character away; say whether there was one."""
        had = bool(self.text)
        self.text = self.text[:-1]
        return had

    def clear(self) -> bool:
        """Empty the line; say whether anything stood in it."""
        had = bool(self.text)
        self.text = ""
        return had
