"""What tilt, eccentricity and nod do to an angle."""

from __future__ import annotations

from math import asin, atan2, cos, degrees, pi, radians, sin, tan

import numpy as np
import pytest

from solver.centring import (
    eccentricity_for_effect,
    eccentricity_for_walk,
    effect_of_eccentricity,
    effect_of_walk,
)
from solver.facing import effect_of_nod, nod_for_effect
from solver.levelling import effect_of_tilt, rise, tilt_for_effect, tilt_of_rise
from solver.radian import ARCSEC_PER_RADIAN


def test_arc_seconds_in_a_radian() -> None:
    """206264.806247 (definition of the radian; recomputed)."""
    assert pytest.approx(206264.806247, abs=1e-6) == ARCSEC_PER_RADIAN


def test_eccentricity_of_one_micrometre_on_fifty_millimetres() -> None:
    """412.53 e/D (read as 412.5 in encoder makers' documents) and 4.1253″ for e = 1 µm on R = 50 mm (recomputed)."""
    assert effect_of_eccentricity(1, 100) == pytest.approx(4.1253, abs=5e-5)
    assert effect_of_eccentricity(1, 1) == pytest.approx(412.53, abs=5e-3)
    assert effect_of_eccentricity(7, 150) == pytest.approx(206264.806 * 7e-3 / 75, rel=1e-8)


def test_eccentric_circle_read_at_one_place() -> None:
    """The largest error of a circle that turns about a point off its centre, from its geometry."""
    eccentricity, radius = 0.01, 60.0
    turn = np.linspace(0, 2 * pi, 100001)
    # The line is read where a fixed head on the x axis meets the circle, whose centre goes round with it.
    x, y = eccentricity * np.cos(turn), eccentricity * np.sin(turn)
    head = x + np.sqrt(radius**2 - y**2)
    seen = np.arctan2(-y, head - x)
    assert np.degrees(np.abs(seen).max()) * 3600 == pytest.approx(effect_of_eccentricity(10, 120), rel=1e-7)


def test_eccentric_mirror_by_its_sag() -> None:
    """The slope of a sphere with the given sag over the width, met off its middle by the eccentricity."""
    flatness, width, eccentricity = 0.0632e-3, 30.0, 0.02
    radius = ((width / 2) ** 2 + flatness**2) / (2 * flatness)
    slope = asin(eccentricity / radius) * ARCSEC_PER_RADIAN
    assert effect_of_walk(20, 0.0632, 30) == pytest.approx(slope, rel=1e-6)


def test_tilt_of_sixty_arc_seconds() -> None:
    """tilt²/4: (60″)²/4 in radians is 0.00436″ (recomputed)."""
    assert effect_of_tilt(60) == pytest.approx(60**2 / 4 / ARCSEC_PER_RADIAN, rel=1e-7)
    assert effect_of_tilt(60) == pytest.approx(0.00436, abs=5e-6)


@pytest.mark.parametrize("tilt_degrees", [0.01, 1.0, 10.0])
def test_tilted_axis_against_its_geometry(tilt_degrees: float) -> None:
    """The largest difference between an angle turned about a leaning axis and what is seen along the true one."""
    tilt = radians(tilt_degrees)
    turn = np.linspace(0, pi / 2, 400001)
    seen = np.arctan2(np.cos(tilt) * np.sin(turn), np.cos(turn))
    largest = np.degrees(np.abs(turn - seen).max()) * 3600
    assert effect_of_tilt(tilt_degrees * 3600) == pytest.approx(largest, rel=1e-6)


def test_rise_of_a_tilt() -> None:
    """One arc second rises 4.848 µm over a metre (definition of the radian; recomputed)."""
    assert rise(1) == pytest.approx(4.848137, abs=1e-6)
    assert tilt_of_rise(rise(1234.5)) == pytest.approx(1234.5)
    assert rise(3600) == pytest.approx(tan(radians(1)) * 1e6)


def test_nod_on_a_rolled_instrument() -> None:
    """A return moved across the reading direction, in axes that are turned by the roll."""
    nod, roll = 12.0, 30.0
    x, y = 0.0, nod
    turned = x * cos(radians(roll / 60)) + y * sin(radians(roll / 60))
    assert effect_of_nod(nod, roll) == pytest.approx(turned)
    assert degrees(atan2(effect_of_nod(nod, roll), nod)) == pytest.approx(0.5, rel=1e-4)
    assert effect_of_nod(nod, 0) == 0


@pytest.mark.parametrize("effect", [0.001, 0.02, 0.5])
def test_limits_are_the_inverse_of_effects(effect: float) -> None:
    assert effect_of_tilt(tilt_for_effect(effect)) == pytest.approx(effect)
    assert effect_of_eccentricity(eccentricity_for_effect(effect, 185), 185) == pytest.approx(effect)
    assert effect_of_walk(eccentricity_for_walk(effect, 0.06, 25), 0.06, 25) == pytest.approx(effect)
    assert effect_of_nod(nod_for_effect(effect, 12), 12) == pytest.approx(effect)


def test_what_has_no_effect_has_no_limit() -> None:
    assert nod_for_effect(0.01, 0) == float("inf")
    assert eccentricity_for_walk(0.01, 0, 30) == float("inf")
