"""Polarity and scale by the sine principle."""

from __future__ import annotations

from math import asin, inf, isnan, pi, sqrt

import numpy as np
import pytest

from solver.coverage import coverage_factor
from solver.refused import Refused
from solver.sine_lever import Lever, lever_test

LEVER = Lever(250.0, 0.05, 0.1, 0.0002)


def test_angle_is_asin() -> None:
    """asin(h/L): a block of 5 mm under 100 mm is 2.8660° (recomputed), one of half the lever 30°."""
    assert Lever(100, 0, 5, 0).angle / 3600 == pytest.approx(2.8660, abs=5e-5)
    assert Lever(100, 0, 50, 0).angle == pytest.approx(30 * 3600)
    assert LEVER.angle == pytest.approx(asin(0.1 / 250) * 180 * 3600 / pi)


def test_angle_uncertainty_against_simulation() -> None:
    """Propagation (JCGM 100, 5.1.2) against seeded draws of both lengths (JCGM 101)."""
    lever = Lever(100.0, 0.02, 40.0, 0.03)
    rng = np.random.default_rng(4)
    drawn = np.arcsin(rng.normal(40, 0.03, 400_000) / rng.normal(100, 0.02, 400_000)) * 180 * 3600 / pi
    assert lever.angle_uncertainty == pytest.approx(drawn.std(), rel=0.005)


@pytest.mark.parametrize("block", [0, -1, 250, 251])
def test_a_block_that_cannot_lift_is_refused(block: float) -> None:
    with pytest.raises(Refused):
        Lever(250, 0.1, block, 0.001)


def test_scale_and_its_uncertainty() -> None:
    down, lifted = [0.1, 0.12, 0.1], [82.4, 82.6, 82.5]
    test = lever_test(LEVER, down, lifted)
    changes = np.subtract(lifted, down)
    assert test.change == pytest.approx(changes.mean())
    assert test.change_uncertainty == pytest.approx(changes.std(ddof=1) / sqrt(3))
    assert test.scale == pytest.approx(LEVER.angle / changes.mean())
    relative = sqrt((test.change_uncertainty / test.change) ** 2 + (0.0002 / 0.1) ** 2 + (0.05 / 250) ** 2)
    assert test.scale_uncertainty == pytest.approx(test.scale * relative, rel=1e-6)


def test_degrees_of_freedom_by_welch_satterthwaite() -> None:
    """JCGM 100, G.4.1: lengths known without limit leave those of the repeats, poor lengths nearly infinite ones."""
    down, lifted = [0, 0, 0], [82.4, 82.6, 82.5]
    exact, poor = Lever(250, 0, 0.1, 0), Lever(250, 0, 0.1, 0.01)
    assert lever_test(exact, down, lifted).effective_freedom == pytest.approx(2)
    assert lever_test(poor, down, lifted).effective_freedom > 1000


@pytest.mark.parametrize(("lifted", "sign"), [(82.5, 1), (-82.5, -1)])
def test_polarity(lifted: float, sign: int) -> None:
    test = lever_test(LEVER, [0, 0], [lifted, lifted + 0.1])
    assert test.sign == sign
    assert test.scale > 0


def test_a_change_within_its_noise_has_no_sign() -> None:
    assert lever_test(LEVER, [0, 0, 0, 0], [1, -0.8, 0.9, -0.6]).sign == 0
    still = lever_test(LEVER, [1.0, 1.0], [1.0, 1.0])
    assert still.sign == 0
    assert isnan(still.scale)


def test_steady_readings_keep_what_the_resolution_leaves() -> None:
    """JCGM 100, F.2.2.1: a digit δ leaves δ/root 12 in a reading, δ/root 6 in a change; repeats keep it."""
    test = lever_test(LEVER, [0.0] * 5, [82.5] * 5, resolution=0.1)
    assert test.change_uncertainty == pytest.approx(0.1 * sqrt(2) / sqrt(12))
    assert test.effective_freedom == inf
    assert lever_test(LEVER, [0.0], [82.5], resolution=0.1).change_uncertainty == pytest.approx(0.1 / sqrt(6))


def test_one_lift_without_resolution_leaves_it_open() -> None:
    test = lever_test(LEVER, [0.0], [82.5])
    assert test.scale == pytest.approx(LEVER.angle / 82.5)
    assert isnan(test.change_uncertainty)
    assert isnan(test.scale_uncertainty)
    assert test.sign == 0


def test_scale_interval_covers() -> None:
    """Of 2000 simulated tests the 95.45 % interval of the scale holds the true one that often (seeded)."""
    rng = np.random.default_rng(9)
    true_length, true_block, true_scale = 250.0, 0.1, 1.02
    held = 0
    for _ in range(2000):
        lever = Lever(rng.normal(true_length, 0.05), 0.05, rng.normal(true_block, 0.0002), 0.0002)
        reading = asin(true_block / true_length) * 180 * 3600 / pi / true_scale
        test = lever_test(lever, rng.normal(0, 0.3, 4), reading + rng.normal(0, 0.3, 4))
        wide = test.scale_uncertainty * float(coverage_factor(test.effective_freedom, 0.9545))
        held += abs(test.scale - true_scale) <= wide
    assert held / 2000 == pytest.approx(0.9545, abs=4 * sqrt(0.9545 * 0.0455 / 2000))
