"""Angles and what a set-up that is not quite right does to them."""

from __future__ import annotations

from functools import partial

from sessions.selfcheck.check import Check
from solver.centring import effect_of_eccentricity
from solver.levelling import effect_of_tilt, rise
from solver.radian import ARCSEC_PER_RADIAN
from solver.sine_lever import Lever
from solver.working_distance import Sight

_TOPIC = "Angles and geometry"
_RADIAN = "definition of the radian (SI Brochure)"
_ECCENTRIC = "a graduated circle of diameter D, eccentric by e: 412.53 e/D; 412.5 e/D read in encoder makers' documents"


def checks() -> tuple[Check, ...]:
    """Return the checks of this topic."""
    one = partial(Check, _TOPIC, mark="recomputed")
    return (
        one(
            "arc seconds in a radian",
            source=_RADIAN,
            function="solver.radian.ARCSEC_PER_RADIAN",
            expected={"": 206264.806247},
            tolerance=1e-6,
            obtain=lambda: ARCSEC_PER_RADIAN,
            unit="″",
        ),
        one(
            "rise of 1″ over a metre",
            source=_RADIAN,
            function="solver.levelling.rise",
            expected={"": 4.848137},
            tolerance=1e-6,
            obtain=lambda: rise(1),
            unit="µm",
        ),
        one(
            "eccentricity 1 µm, D 1 mm",
            source=_ECCENTRIC,
            function="solver.centring.effect_of_eccentricity",
            expected={"": 412.53},
            tolerance=5e-3,
            obtain=lambda: effect_of_eccentricity(1, 1),
            unit="″",
        ),
        one(
            "eccentricity 1 µm, R 50 mm",
            source=_ECCENTRIC,
            function="solver.centring.effect_of_eccentricity",
            expected={"": 4.1253},
            tolerance=5e-5,
            obtain=lambda: effect_of_eccentricity(1, 100),
            unit="″",
        ),
        one(
            "axis tilted by 60″",
            source="plane geometry: a quarter of the square of the tilt, in radians",
            function="solver.levelling.effect_of_tilt",
            expected={"": 0.00436},
            tolerance=5e-6,
            obtain=lambda: effect_of_tilt(60),
            unit="″",
        ),
        one(
            "sine lever, 5 mm to 100 mm",
            source="plane geometry: asin(h/L)",
            function="solver.sine_lever.Lever",
            expected={"": 2.8660},
            tolerance=5e-5,
            obtain=lambda: Lever(100, 0, 5, 0).angle / 3600,
            unit="°",
        ),
        Check(
            _TOPIC,
            "circles sharing half, in radii",
            "known constant of plane geometry",
            "memory",
            "solver.working_distance.Sight",
            {"": 0.8079455},
            1e-7,
            lambda: Sight(2, 2, 2, 100).shift_for(0.5),
        ),
    )
