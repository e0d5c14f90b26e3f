"""What was typed, as a number."""

from __future__ import annotations

import re

from solver.refused import Refused

_NUMBER = re.compile(r"[+-]?([0-9]+(\.[0-9]*)?|\.[0-9]+)")
_MINUS_SIGNS = str.maketrans({"−": "-", "–": "-", "‒": "-", "＋": "+", ",": "."})


def read_number(text: str) -> float:
    """Read a typed number; a decimal comma counts as a decimal point.

    Parameters
    ----------
    text : str
        Digits with at most one sign in front and one decimal point or comma.

    Returns
    -------
    float
        The value.

    Raises
    ------
    Refused
        If the text is not such a number. Nothing is ever dropped from it.
    """
    plain = text.strip().translate(_MINUS_SIGNS)
    if not _NUMBER.fullmatch(plain):
        raise Refused(f"“{text.strip()}” is not a number", remedy="type digits, a sign, one point or comma")
    return float(plain)


def read_column(text: str) -> tuple[float, ...]:
    """Read a pasted column: one number a line, blank lines passed over.

    Raises
    ------
    Refused
        Naming the first line that is not a number, or if there is none at all; nothing of the column is then taken.
    """
    values = []
    for number, line in enumerate(text.splitlines(), start=1):
        if not line.strip():
            continue
        try:
            values.append(read_number(line))
        except Refused as refused:
            raise Refused(
                refused.what,
                where=f"pasted line {number}",
                remedy="nothing was taken; paste one number a line",
            ) from refused
    if not values:
        raise Refused(
            "there is no number in what was pasted", remedy="nothing was taken; copy a column of numbers"
        )
    return tuple(values)


def wrong_reason(text: str) -> str:
    """Return what is wrong with a typed reason, "" if nothing: a number alone is a reading that went astray."""
    try:
        read_number(text)
    except Refused:
        return ""
    return "a number is no reason: Esc leads back to where readings are typed"
