"""Usable range against working distance and aperture."""

from __future__ import annotations

from math import radians, tan

import numpy as np
import pytest

from solver.refused import Refused
from solver.working_distance import Sight


@pytest.mark.parametrize(
    ("aperture", "beam", "mirror"), [(40, 40, 40), (40, 40, 25), (40, 30, 60), (30, 40, 40)]
)
def test_share_against_counted_points(aperture: float, beam: float, mirror: float) -> None:
    sight = Sight(aperture, beam, mirror, 1000)
    radius = min(beam, mirror) / 2
    side = np.linspace(-radius, radius, 1501)
    x, y = np.meshgrid(side, side)
    inside = x**2 + y**2 <= radius**2
    for shift in (0, 3, 8, 15, 25, 34):
        falls_in = inside & ((x + shift) ** 2 + y**2 <= (aperture / 2) ** 2)
        assert sight.share(shift) == pytest.approx(falls_in.sum() / inside.sum(), abs=0.003)


def test_equal_circles_that_share_half() -> None:
    """Two equal circles share half of their area at 0.8079455 radii (known constant, memory; recomputed)."""
    assert Sight(2, 2, 2, 100).shift_for(0.5) == pytest.approx(0.8079455, abs=1e-7)


def test_free_shift() -> None:
    sight = Sight(40, 40, 30, 800)
    assert sight.free_shift == 5
    assert sight.share(5) == 1
    assert sight.share(5.001) < 1
    assert Sight(40, 40, 50, 800).free_shift == 0


def test_turn_sends_the_beam_back_at_twice_the_angle() -> None:
    """A mirror turned by 1° at 1 m displaces the beam by tan 2° times 1 m."""
    assert Sight(100, 100, 100, 1000).turn(1000 * tan(radians(2))) == pytest.approx(3600)


def test_range_shrinks_with_distance() -> None:
    ranges = [
        Sight(40, 40, 30, distance).turn(Sight(40, 40, 30, distance).shift_for(0.5))
        for distance in (500, 1000)
    ]
    assert ranges[0] == pytest.approx(2 * ranges[1], rel=1e-3)


def test_farthest_distance_is_where_the_range_is_that_angle() -> None:
    far = Sight(40, 40, 30, 700).farthest(300, 0.5)
    there = Sight(40, 40, 30, far)
    assert there.turn(there.shift_for(0.5)) == pytest.approx(300)
    assert Sight(40, 40, 30, 700).farthest(0, 0.5) == float("inf")


def test_share_wanted_is_of_what_comes_back_straight() -> None:
    """A beam wider than the objective never fits in whole; half is half of what does."""
    sight = Sight(20, 40, 40, 500)
    assert sight.share(0) == pytest.approx(0.25)
    assert sight.share(sight.shift_for(0.5)) == pytest.approx(0.125)


def test_nothing_returns_beyond_the_edge() -> None:
    sight = Sight(30, 30, 10, 500)
    assert sight.share(20) == 0
    assert sight.share(19.99) > 0
    assert sight.share(0) == pytest.approx(1)


@pytest.mark.parametrize("lengths", [(0, 1, 1, 1), (1, 1, 1, -5), (1, 0, 1, 1)])
def test_no_length_is_refused(lengths: tuple[float, float, float, float]) -> None:
    with pytest.raises(Refused):
        Sight(*lengths)
