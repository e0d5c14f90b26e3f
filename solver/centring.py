"""What an eccentricity does to the angle: on a circle read at one place, and by way of a mirror."""

from __future__ import annotations

from solver.radian import ARCSEC_PER_RADIAN


def effect_of_eccentricity(eccentricity: float, diameter: float) -> float:
    """Return by how much an eccentric circle reads wrong at most, arc seconds.

    Parameters
    ----------
    eccentricity : float
        µm.
    diameter : float
        Of the circle where it is read, mm.

    Notes
    -----
    A circle of radius R that turns about a point e off its centre, read at one place, is wrong by up to e/R
    radians, once per turn: 206264.806 e/R, or 412.53 e/D arc seconds with e in µm and D in mm (definition of the
    radian; 412.5 e/D read in encoder makers' documents).
    """
    return 2e-3 * ARCSEC_PER_RADIAN * eccentricity / diameter


def eccentricity_for_effect(effect: float, diameter: float) -> float:
    """Return the eccentricity in µm that makes a circle of `diameter` mm read wrong by `effect` arc seconds."""
    return effect * diameter / (2e-3 * ARCSEC_PER_RADIAN)


def effect_of_walk(eccentricity: float, flatness: float, width: float) -> float:
    """Return by how much an eccentric mirror reads wrong at most, arc seconds.

    Parameters
    ----------
    eccentricity, flatness : float
        µm; the flatness is the sag of the mirror over its width.
    width : float
        Of the mirror, mm.

    Notes
    -----
    A mirror that orbits with the upper circle turns by nothing, but the beam walks across it by e either way. A
    sag f over a width w is that of a sphere of radius w²/(8 f), whose normal turns by 8 f e/w² radians over e.
    Geometry of the sphere; recomputed.
    """
    return 8e-6 * flatness * eccentricity / width**2 * ARCSEC_PER_RADIAN


def eccentricity_for_walk(effect: float, flatness: float, width: float) -> float:
    """Return the eccentricity in µm at which the walk of the beam makes `effect` arc seconds; inf if flat."""
    if flatness == 0:
        return float("inf")
    return effect * width**2 / (8e-6 * flatness * ARCSEC_PER_RADIAN)
