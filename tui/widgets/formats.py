"""Numbers in words and columns: rounding by the uncertainty, signs, alignment on the decimal point."""

from __future__ import annotations

import math
import textwrap

from sessions.rounding import decimals_for
from tui.widgets.marks import Characters


def signed(value: float, decimals: int, signs: Characters, *, plus: bool = True) -> str:
    """Return a value with its sign, nan as "not determined"; a value that rounds to zero has no sign."""
    if math.isnan(value):
        return signs.undetermined
    rounded = round(value, decimals)
    text = f"{abs(rounded):.{max(decimals, 0)}f}"
    if rounded == 0:
        return text
    return (signs.minus if rounded < 0 else "+" if plus else "") + text


def plain(value: float, decimals: int, signs: Characters) -> str:
    """Return a value that has no sign of its own, such as an uncertainty; nan as "not determined"."""
    return signed(value, decimals, signs, plus=False)


def with_uncertainty(
    value: float, uncertainty: float, signs: Characters, *, fallback: int = 3
) -> tuple[str, str]:
    """Return a value and its uncertainty as text, rounded to two significant digits of the uncertainty.

    Parameters
    ----------
    value, uncertainty : float
        In one unit; nan stands for "not determined".
    signs : Characters
        The set of characters.
    fallback : int, optional
        Digits after the point where the uncertainty gives none: it is zero or not determined.
    """
    decimals = decimals_for(uncertainty, otherwise=fallback)
    if uncertainty == 0:
        return signed(value, decimals, signs), "0"
    return signed(value, decimals, signs), plain(uncertainty, decimals, signs)


def align_point(text: str, decimals: int, point: str = ".") -> str:
    """Pad a number on the right so that its decimal point stands `decimals` digits from the end."""
    if decimals <= 0:
        return text
    _, found, fraction = text.partition(point)
    return text + " " * max(0, decimals - len(fraction) + (0 if found else 1))


def fit(text: str, width: int, signs: Characters) -> str:
    """Return words that fit in a width, the cut shown by a sign; never use it for numbers."""
    if len(text) <= width:
        return text
    return text[: max(0, width - 1)].rstrip() + signs.more if width > 0 else ""


def fit_number(text: str, width: int, signs: Characters) -> str:
    """Return a number if it fits in a width, else a sign that it does not: a cut number is another number."""
    return text if len(text) <= width else signs.more[:width]


def printable(text: str) -> str:
    """Return text on one line, every sign that prints nothing a blank: names and remarks may hold any."""
    return "".join(sign if sign.isprintable() else " " for sign in text)


def wrapped(words: str, width: int, *, first: str = "", later: str = "") -> list[str]:
    """Return words in lines of a width, as many as they need, `first` before the first and `later` before others."""
    lines = textwrap.wrap(
        words, max(1, width), initial_indent=first, subsequent_indent=later, break_on_hyphens=False
    )
    return lines or [first]
