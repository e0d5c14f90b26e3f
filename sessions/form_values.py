"""Values typed into a form: whole numbers, and numbers that must be positive."""

from __future__ import annotations

from sessions.fields import LARGEST
from sessions.typed import read_number
from solver.refused import Refused


def whole(text: str, low: int, high: int) -> int:
    """Read a whole number from `low` to `high`.

    Raises
    ------
    Refused
        Saying what may be typed.
    """
    word = text.strip()
    if not word.isascii() or not word.isdigit() or len(word) > 9 or not low <= int(word) <= high:
        raise Refused(f"whole number, {low} to {high}")
    return int(word)


def positive(text: str) -> float:
    """Read a number above 0; a decimal comma counts as a decimal point.

    Raises
    ------
    Refused
        Saying what may be typed.
    """
    value = read_number(text)
    if not 0 < value <= LARGEST:
        raise Refused("more than 0, or left empty")
    return value
