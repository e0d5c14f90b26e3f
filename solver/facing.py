"""What a mirror that nods does to the angle."""

from __future__ import annotations

from math import radians, sin


def effect_of_nod(nod: float, roll: float) -> float:
    """Return how much of a nod shows as an angle, in the unit of `nod`.

    Parameters
    ----------
    nod : float
        Change of the return across the direction that is read.
    roll : float
        How far the instrument is rolled about its line of sight, arc minutes.

    Notes
    -----
    Rotation of coordinates: nod · sin(roll). Common practice, no source.
    """
    return nod * sin(radians(roll / 60))


def nod_for_effect(effect: float, roll: float) -> float:
    """Return the nod that shows as an angle of `effect`; inf for an instrument that is not rolled."""
    return effect / sin(radians(roll / 60)) if roll else float("inf")
