"""Harmonics of a circle, and what scatter alone makes of them."""

from __future__ import annotations

import numpy as np
import pytest

from solver.adjust import Adjustment, adjust
from solver.cells import gather
from solver.closure import Closure
from solver.spectrum import spectrum


def adjusted(n: int, offsets: list[int], noise: np.ndarray, errors: np.ndarray) -> Adjustment:
    run, step = (x.ravel() for x in np.meshgrid(np.arange(len(offsets)), np.arange(n), indexing="ij"))
    value = errors[0][step] + errors[1][(np.array(offsets)[run] - step) % n] + 5.0 * run + noise
    return adjust(Closure(n), np.array(offsets), gather(run, step, value))


@pytest.mark.parametrize("n", [7, 12])
def test_amplitudes_are_those_of_the_fourier_transform(n: int) -> None:
    """numpy.fft, a = 2 Re/n, b = -2 Im/n, order n/2 halved (recomputed)."""
    errors = np.random.default_rng(1).normal(size=(2, n))
    adjustment = adjusted(n, [0, 1, 3], np.zeros(3 * n), errors)
    for circle, error in zip(("lower", "upper"), errors, strict=True):
        found = spectrum(adjustment, circle, 0.1, 20)
        transform = 2 * np.abs(np.fft.rfft(error))[1:] / n
        if n % 2 == 0:
            transform[-1] /= 2
        np.testing.assert_allclose(found.amplitude, transform, atol=1e-12)
        np.testing.assert_array_equal(found.order, np.arange(1, n // 2 + 1))


def test_scatter_alone_exceeds_the_limit_as_often_as_said() -> None:
    """1,000 sessions without any error, seeded: 5 % of each harmonic, within 3.5 standard deviations."""
    n, offsets, sessions = 8, [0, 1, 3], 1000
    rng = np.random.default_rng(2)
    above = np.zeros(n // 2)
    for _ in range(sessions):
        adjustment = adjusted(n, offsets, rng.normal(size=len(offsets) * n), np.zeros((2, n)))
        found = spectrum(adjustment, "upper", adjustment.standard_deviation, adjustment.degrees_of_freedom)
        above += found.amplitude > found.limit
    assert np.abs(above / sessions - 0.05).max() < 0.025


def test_nothing_of_a_circle_that_is_not_determined() -> None:
    adjustment = adjusted(8, [0, 2], np.zeros(16), np.zeros((2, 8)))
    assert len(spectrum(adjustment, "lower", 0.1, 5).order) == 0


def test_no_limit_without_scatter() -> None:
    adjustment = adjusted(8, [0, 1], np.zeros(16), np.ones((2, 8)))
    assert np.isnan(spectrum(adjustment, "lower", np.nan, 0).limit).all()
