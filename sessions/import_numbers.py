"""Numbers in the cells of a spreadsheet: the decimal sign found or refused, never guessed."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Literal

from sessions.fields import LARGEST
from solver.refused import Refused

Decimal = Literal[".", ","]
DECIMALS: dict[str, Decimal] = {"point": ".", "comma": ","}

_SIGNS = str.maketrans({"−": "-", "–": "-", "‒": "-", "﹣": "-", "－": "-", "＋": "+"})
_NUMBER = re.compile(r"[+-]?([0-9]+([.,][0-9]*)?|[.,][0-9]+)([eE][+-]?[0-9]+)?")
_GROUPED = re.compile(r"[+-]?[0-9]{1,3}([.,'’ \u00a0\u2007\u2009\u202f][0-9]{3})+([.,][0-9]*)?")
#: Three digits on each side, and the first not 0: thousands or thousandths.
_EITHER = re.compile(r"[+-]?[1-9][0-9]{0,2}[.,][0-9]{3}")

#: A cell's name and its text.
Named = tuple[str, str]


def looks_numeric(text: str) -> bool:
    """Return whether a text is a number under some decimal sign, or one with thousands marked."""
    plain = text.translate(_SIGNS)
    return bool(_NUMBER.fullmatch(plain) or _GROUPED.fullmatch(plain))


def whole(text: str) -> int | None:
    """Return a number that is written without sign, point and comma; None for any other text."""
    return int(text) if re.fullmatch(r"[0-9]{1,9}", text) else None


def find_decimal(cells: Sequence[Named], delimiter: str) -> Decimal:
    """Find the decimal sign of all cells.

    Parameters
    ----------
    cells : sequence of (name, text)
        Cells that should hold numbers.
    delimiter : str
        What parts the cells.

    Raises
    ------
    Refused
        Where both signs occur, or where the sign may just as well mark thousands.
    """
    commas = [(name, text) for name, text in cells if "," in text]
    points = [(name, text) for name, text in cells if "." in text]
    if commas and points:
        raise Refused(
            f"{commas[0][0]} holds “{commas[0][1]}” and {points[0][0]} holds “{points[0][1]}”: "
            "comma and point cannot both be the decimal sign",
            where="decimal sign",
            remedy="write all numbers in one way, without thousands separators",
        )
    signed = commas or points
    # In a file parted by commas a point is the decimal sign of its country.
    if signed and (commas or delimiter != ",") and all(_EITHER.fullmatch(_plain(text)) for _, text in signed):
        name, text = signed[0]
        raise Refused(
            f"“{text}” may have a decimal {'comma' if commas else 'point'} or mark thousands",
            where=name,
            remedy="say --decimal comma or --decimal point",
        )
    return "," if commas else "."


def number(cell: Named, decimal: Decimal) -> float:
    """Return the number in a cell, to the last digit.

    Raises
    ------
    Refused
        Naming the cell, where it is not a number written with that decimal sign.
    """
    name, text = cell
    plain = _plain(text)
    other = "," if decimal == "." else "."
    if not _NUMBER.fullmatch(plain):
        if _GROUPED.fullmatch(plain):
            raise Refused(
                f"“{text}” marks thousands", where=name, remedy="write it without thousands separators"
            )
        raise Refused(
            f"“{text}” is not a number",
            where=name,
            remedy="put it right, or leave the cell empty where there is no reading",
        )
    if other in plain:
        raise Refused(
            f"“{text}” has a {'comma' if other == ',' else 'point'}, and the decimal sign is the "
            f"{'point' if decimal == '.' else 'comma'}",
            where=name,
            remedy="put it right, or say --decimal",
        )
    value = float(plain.replace(",", "."))
    if not abs(value) <= LARGEST:
        raise Refused(f"“{text}” is too large", where=name, remedy="put it right")
    return value


def _plain(text: str) -> str:
    return text.translate(_SIGNS)
