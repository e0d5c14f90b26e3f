"""How many positions a step angle makes, and whether the circles can stop there."""

from __future__ import annotations

from fractions import Fraction
from math import gcd

from sessions.design import MOST_POSITIONS
from sessions.divisions import refuse_faces
from solver.refused import Refused

_FULL_TURN = 360
#: Its divisors make steps of up to three decimals.
_SHORT_STEPS = 360_000


def positions_of(
    positions: int | None, step: Fraction | None, divisions: tuple[int, ...] = (), *, polygon: bool = False
) -> int:
    """Return the number of positions asked for, by number or by step angle, if every circle can stop there.

    Parameters
    ----------
    positions : int, optional
        n, as asked for.
    step : Fraction, optional
        Angle between positions, degrees. Exact, so that a third of a degree is one.
    divisions : tuple of int
        Divisions of each circle; n must divide every one.
    polygon : bool
        Whether the upper circle is a polygon, read face by face on the lower as its table.

    Raises
    ------
    Refused
        With the nearest numbers and steps that do work.
    """
    if len(divisions) > 2:
        raise Refused(
            f"{len(divisions)} circles are given",
            where="--divisions",
            remedy="give one number for both circles, or one for the lower and one for the upper",
        )
    common = gcd(*divisions)
    if any(number < 2 for number in divisions):
        raise Refused("a circle has 2 divisions or more", where="--divisions", remedy="give the full number")
    if positions is None and step is None:
        remedy = "give --positions N or --step ANGLE"
        if common:
            remedy += f"; both circles stop at {_listed(_divisors(common)[-4:])}"
        raise Refused("neither positions nor a step angle are given", remedy=remedy)
    wanted = Fraction(positions) if positions is not None else _turned_over(step)
    where = "--positions" if positions is not None else "--step"
    if positions is not None and step is not None and wanted != _turned_over(step):
        raise Refused(
            f"{positions} positions are {angle(Fraction(_FULL_TURN, positions))} apart, not {angle(step)}",
            where="--step",
            remedy="give one of the two",
        )
    if wanted.denominator != 1:
        raise Refused(
            f"steps of {angle(step or Fraction(0))} do not close the circle of {_FULL_TURN}°",
            where=where,
            remedy=f"use {_listed(_nearest(wanted, common))}",
        )
    if not 2 <= wanted <= MOST_POSITIONS:
        raise Refused(
            f"{wanted} positions cannot be planned",
            where=where,
            remedy=f"use from 2 to {MOST_POSITIONS} positions, that is steps from 180° down to 0.25°",
        )
    if polygon and divisions:
        refuse_faces(int(wanted), divisions[0], "--divisions")
    for number, circle in zip(divisions, ("lower", "upper"), strict=False):
        if number % wanted != 0:
            raise Refused(
                f"{wanted} positions do not divide the {number} divisions of the {circle} circle",
                where="--divisions",
                remedy=f"use {_listed(_nearest(wanted, common))}",
            )
    return int(wanted)


def angle(degrees: Fraction) -> str:
    """Return an angle in degrees as a person would write it: 30°, 22.5°, 360/7°."""
    for digits in range(5):
        if (degrees * 10**digits).denominator == 1:
            return f"{float(degrees):.{digits}f}°"
    return f"{degrees}°"


def _turned_over(step: Fraction | None) -> Fraction:
    if step is None or step <= 0:
        raise Refused("a step angle is greater than 0", where="--step", remedy="give it in degrees")
    return _FULL_TURN / step


def _divisors(number: int) -> list[int]:
    return [k for k in range(2, min(number, MOST_POSITIONS) + 1) if number % k == 0]


def _nearest(wanted: Fraction, common: int) -> list[int]:
    """Return the nearest usable numbers of positions on either side of `wanted`."""
    usable = _divisors(common or _SHORT_STEPS)
    below = [k for k in usable if k < wanted][-1:]
    return below + [k for k in usable if k > wanted][:1]


def _listed(numbers: list[int]) -> str:
    """Return numbers of positions in words, each with its step."""
    words = [f"{k} positions ({angle(Fraction(_FULL_TURN, k))})" for k in numbers]
    return " or ".join(words) if words else "circles with more divisions in common"
