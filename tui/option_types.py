"""Values of options: each read or refused in a few words."""

from __future__ import annotations

import argparse
import difflib
import re
from collections.abc import Callable, Mapping
from fractions import Fraction

#: Fractions of more digits would only be slow: Python writes out every power of ten.
_FRACTION = re.compile(r"[+-]?[0-9]{0,9}(\.[0-9]{0,9})?(/[0-9]{1,9})?")


def whole(text: str) -> int:
    """Read a whole number."""
    try:
        return int(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"“{text}” is no whole number") from None


def number(text: str) -> float:
    """Read a number."""
    try:
        return float(text)
    except ValueError:
        raise argparse.ArgumentTypeError(_unread(text)) from None


def fraction(text: str) -> Fraction:
    """Read a number exactly, a fraction like 360/7 too."""
    bare = text.removesuffix("°")
    try:
        if not _FRACTION.fullmatch(bare):
            raise ValueError(bare)
        return Fraction(bare)
    except (ValueError, ZeroDivisionError):
        raise argparse.ArgumentTypeError(_unread(text)) from None


def word(*known: str, signs: Mapping[str, str] | None = None) -> Callable[[str], str]:
    """Return a reader of one of some words, in which hyphens and blanks are the same, or of a sign for one."""
    plain = {each.replace("-", " "): each for each in known}

    def read(text: str) -> str:
        typed = (signs or {}).get(text) or " ".join(text.replace("-", " ").lower().split())
        if typed in plain:
            return plain[typed]
        near = difflib.get_close_matches(typed, plain, n=1)
        hint = plain[near[0]] if near else " or ".join(known)
        raise argparse.ArgumentTypeError(f"“{text}” is not known: use {hint}")

    return read


def _unread(text: str) -> str:
    if "," in text:
        return f"“{text}” has a comma: write {text.replace(',', '.')}"
    return f"“{text}” is no number"
