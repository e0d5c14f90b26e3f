"""Whether the circles can stop at the positions planned, and what is measured where they could stop at more."""

from __future__ import annotations

from fractions import Fraction
from math import gcd

from sessions.circle_words import angle_words
from solver.refused import Refused

#: A circle has two divisions at least; more than these are a slip of the keyboard.
FEWEST_DIVISIONS, MOST_DIVISIONS = 2, 10**8


def refuse_faces(faces: int, divisions: int, where: str) -> None:
    """Refuse a polygon on a table that cannot stop at every face.

    Parameters
    ----------
    faces : int
        Faces that are to be measured.
    divisions : int
        Divisions of the table.
    where : str
        What to name in the refusal.

    Raises
    ------
    Refused
        With the ways out: a number of faces at which it does stop, another table, or the polygon alone.
    """
    if divisions % faces == 0:
        return
    common = gcd(faces, divisions)
    ways = []
    if common > 1:
        ways.append(f"measure {common} of the faces, every {_ordinal(faces // common)}")
    ways.append(f"take a table with a multiple of {faces} divisions or one that stops at any angle")
    ways.append(f"read the polygon alone, closure single, with two instruments {angle_words(1, faces)} apart")
    raise Refused(
        f"{faces} faces do not divide the {divisions} divisions of the table",
        where=where,
        remedy="; or ".join(ways),
    )


def refuse_positions(positions: int, divisions: int, circle: str, where: str, *, faces: bool = False) -> None:
    """Refuse positions at which a circle, such as "lower circle", cannot stop; it may be a polygon with its faces."""
    if divisions % positions == 0:
        return
    fits = (
        [number for number in range(2, divisions + 1) if divisions % number == 0] if divisions < 10**5 else []
    )
    nearest = [k for k in fits if k < positions][-1:] + [k for k in fits if k > positions][:1]
    words = " or ".join(f"{k} ({angle_words(1, k)})" for k in nearest)
    raise Refused(
        f"{positions} positions do not divide the {divisions} {'faces' if faces else 'divisions'} of the {circle}",
        where=where,
        remedy=f"measure {words}" if words else f"use a circle with a multiple of {positions}",
    )


def used_words(positions: int, divisions: int, circle: str, *, faces: bool = False) -> str:
    """Say which of a circle's divisions are measured; "" where all are."""
    if divisions <= positions:
        return ""
    each = Fraction(divisions, positions)
    what = "faces" if faces else "divisions"
    return (
        f"Of the {divisions} {what} of the {circle} every {_ordinal(int(each))} is used: "
        f"what is measured are these {positions}, not those between."
    )


def _ordinal(number: int) -> str:
    last = "th" if number % 100 in (11, 12, 13) else {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th")
    return f"{number}{last}"
