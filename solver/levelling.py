"""What a tilt of the axis does to the angle, and what is to be raised."""

from __future__ import annotations

from math import asin, atan, radians, sin, sqrt, tan

from solver.radian import ARCSEC_PER_RADIAN
from solver.refused import Refused

#: 90° in arc seconds.
_UPRIGHT = 90 * 3600.0


def effect_of_tilt(tilt: float) -> float:
    """Return by how much a tilt of the axis changes an angle at most, both in arc seconds.

    Notes
    -----
    Turning by θ about an axis that leans by τ turns a direction, seen along the true axis, by θ' with
    tan θ' = cos τ · tan θ, which is the relation of a universal joint. The difference θ - θ' comes twice per turn
    and is at most asin(tan²(τ/2)), that is τ²/4 for a small tilt: second order, so 60″ of tilt make 0.004″.
    From spherical trigonometry; recomputed.

    Raises
    ------
    Refused
        For 90° and more, where nothing turns about an axis that is nearly upright.
    """
    if not abs(tilt) < _UPRIGHT:
        raise Refused(f"a tilt of {tilt:.6g}″ is no tilt of an upright axis", remedy="check what was typed")
    return asin(tan(_half(tilt)) ** 2) * ARCSEC_PER_RADIAN


def tilt_for_effect(effect: float) -> float:
    """Return the tilt that changes an angle by at most `effect`, both in arc seconds: 2 root(effect)."""
    return 2 * atan(sqrt(sin(effect / ARCSEC_PER_RADIAN))) * ARCSEC_PER_RADIAN


def rise(tilt: float) -> float:
    """Return the rise of a tilt in arc seconds, in µm over a metre (the tangent, definition of the radian)."""
    return tan(tilt / ARCSEC_PER_RADIAN) * 1e6


def tilt_of_rise(rise: float) -> float:
    """Return the tilt in arc seconds of a rise in µm over a metre."""
    return atan(rise * 1e-6) * ARCSEC_PER_RADIAN


def _half(tilt: float) -> float:
    return radians(tilt / 3600) / 2
