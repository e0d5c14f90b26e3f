"""Numbers as a certificate prints them: two significant digits of the uncertainty, the value to match."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import isfinite, isnan

from sessions.rounding import decimals_for
from solver.closure import Floats

UNDETERMINED = "not determined"
#: Spaces as wide as a digit and as a point: they line up decimal points in columns set flush right.
DIGIT_SPACE, POINT_SPACE = "\u2007", "\u2008"


def decimals_of(uncertainty: float, digits: int = 2, *, otherwise: int = 0) -> int:
    """Return the digits after the point that a certificate shows of an uncertainty, none at least."""
    return max(0, decimals_for(uncertainty, digits, otherwise=otherwise))


def fixed(value: float, decimals: int, *, plus: bool = False) -> str:
    """Return a value with so many digits after the point and a true minus sign; zero has no sign."""
    text = f"{abs(value):.{decimals}f}"
    if float(text) == 0:
        return text
    return ("−" if value < 0 else "+" if plus else "") + text


def pair(value: float, expanded: float) -> tuple[str, str]:
    """Return a value and its expanded uncertainty as text (JCGM 100, 7.2.6; ILAC-P14:09/2020, 5.4: memory).

    A value without an uncertainty is not printed: nobody could say how many of its digits mean something.
    """
    if isnan(value) or isnan(expanded):
        return UNDETERMINED, ""
    if expanded == 0:
        return fixed(value, 0), "0"
    decimals = decimals_of(expanded)
    return fixed(value, decimals, plus=True), fixed(expanded, decimals)


def significant(value: float, digits: int = 2) -> str:
    """Return a positive number with so many significant digits."""
    if not isfinite(value):
        return UNDETERMINED if isnan(value) else "∞"
    return fixed(value, decimals_of(value, digits))


def aligned(texts: Sequence[str]) -> tuple[str, ...]:
    """Return numbers padded on the right so that their points stand below each other when set flush right."""
    most = max((len(_fraction(text)) for text in texts), default=0)
    return tuple(_padded(text, most) for text in texts)


def between(values: Iterable[float], decimals: int) -> str:
    """Return the finite values as "2.05" or "2.05 to 2.13"."""
    known = [value for value in values if isfinite(value)]
    if not known:
        return UNDETERMINED
    low, high = fixed(min(known), decimals), fixed(max(known), decimals)
    return low if low == high else f"{low} to {high}"


def columns_of(value: Floats, expanded: Floats) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return (M,) values and their expanded uncertainties as two columns, points aligned."""
    values, uncertainties = zip(
        *(pair(float(v), float(u)) for v, u in zip(value, expanded, strict=True)), strict=True
    )
    return aligned(values), aligned(uncertainties)


def _fraction(text: str) -> str:
    return text.partition(".")[2] if text[-1:].isdigit() else ""


def _padded(text: str, most: int) -> str:
    if not text[-1:].isdigit() or not most:
        return text
    point = "" if "." in text else POINT_SPACE
    return text + point + DIGIT_SPACE * (most - len(_fraction(text)))
