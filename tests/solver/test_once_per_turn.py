"""Once-per-turn fits of readings round a circle, against the Fourier transform and another library's least squares."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import statsmodels.api as sm

from solver.once_per_turn import once_per_turn
from solver.refused import Refused

PUBLISHED = Path(__file__).parents[1] / "published"


def published(name: str) -> np.ndarray:
    return np.loadtxt(PUBLISHED / name, delimiter=",", skiprows=1)


def test_twelve_point_example() -> None:
    """harmonic_12pt.csv: a published worked example, first harmonic by numpy.fft (read, recomputed)."""
    angle, value = published("harmonic_12pt.csv").T
    turn = once_per_turn(angle, value)
    assert (turn.mean, turn.cosine, turn.sine) == pytest.approx(
        (2.491667, 1.255459161, 0.761442225), abs=5e-7
    )
    assert turn.amplitude == pytest.approx(np.hypot(1.255459161, 0.761442225), abs=1e-8)
    assert turn.direction == pytest.approx(np.degrees(np.arctan2(0.761442225, 1.255459161)), abs=1e-7)
    # What is left is everything but orders 0 and 1 (Parseval): 1.5590972222 minus half of a1² + b1².
    left = 12 * (1.5590972222 - (1.255459161**2 + 0.761442225**2) / 2)
    assert turn.fit.residual @ turn.fit.residual == pytest.approx(left, abs=1e-7)


@pytest.mark.parametrize("column", [1, 2])
def test_real_encoder_against_fft(column: int) -> None:
    """harmonic_24pt_encoder.csv: Sensors 24 (2024) 1400, table 6 (read); compared with numpy.fft."""
    table = published("harmonic_24pt_encoder.csv")
    turn = once_per_turn(table[:, 0], table[:, column])
    first = np.fft.rfft(table[:, column])[1] / 12
    assert (turn.cosine, turn.sine) == pytest.approx((first.real, -first.imag), abs=1e-12)


@pytest.mark.parametrize("count", range(3, 25))
def test_equal_angles_give_the_fourier_transform(count: int) -> None:
    value = np.random.default_rng(count).normal(0, 3, count)
    angle = np.arange(count) * 360 / count
    turn = once_per_turn(angle, value)
    spectrum = np.fft.rfft(value)
    first = 2 * spectrum[1] / count
    assert turn.mean == pytest.approx(spectrum[0].real / count)
    assert (turn.cosine, turn.sine) == pytest.approx((first.real, -first.imag))
    assert turn.direction == pytest.approx(np.degrees(-np.angle(first)) % 360)
    if count > 3:
        plain = turn.fit.standard_deviation * np.sqrt(2 / count)
        assert turn.amplitude_uncertainty == pytest.approx(plain)
        assert turn.direction_uncertainty == pytest.approx(np.degrees(plain / turn.amplitude))


def test_missing_angles_against_another_library() -> None:
    """Coefficients, their covariance and the residual standard deviation as statsmodels has them (recomputed)."""
    rng = np.random.default_rng(7)
    angle = np.sort(rng.choice(np.arange(0, 360, 15), 13, replace=False)).astype(float)
    value = 5 + 3 * np.cos(np.radians(angle - 250)) + rng.normal(0, 0.4, 13)
    turn = once_per_turn(angle, value)
    radians = np.radians(angle)
    other = sm.OLS(value, np.column_stack((np.ones(13), np.cos(radians), np.sin(radians)))).fit()
    np.testing.assert_allclose(turn.fit.coefficient, other.params, rtol=1e-10)
    np.testing.assert_allclose(turn.fit.covariance, other.cov_params(), rtol=1e-9)
    np.testing.assert_allclose(turn.fit.leverage, other.get_influence().hat_matrix_diag, rtol=1e-9)
    assert turn.fit.standard_deviation == pytest.approx(np.sqrt(other.scale))
    # The amplitude's uncertainty by central differences of the amplitude itself.
    step = 1e-6
    gradient = np.array(
        [
            (np.hypot(turn.cosine + step, turn.sine) - np.hypot(turn.cosine - step, turn.sine)) / (2 * step),
            (np.hypot(turn.cosine, turn.sine + step) - np.hypot(turn.cosine, turn.sine - step)) / (2 * step),
        ]
    )
    variance = gradient @ np.asarray(other.cov_params())[1:, 1:] @ gradient
    assert turn.amplitude_uncertainty == pytest.approx(np.sqrt(variance), rel=1e-6)


def test_expanded_uncertainty_covers() -> None:
    """Of 2000 simulated eccentricities well above the noise, the 95.45 % interval holds the true one that often."""
    rng = np.random.default_rng(12)
    angle = np.arange(8) * 45.0
    held = 0
    for _ in range(2000):
        turn = once_per_turn(angle, 10 * np.cos(np.radians(angle - 70)) + rng.normal(0, 0.5, 8))
        held += abs(turn.amplitude - 10) <= turn.fit.expanded(turn.amplitude_uncertainty, 0.9545)
    assert held / 2000 == pytest.approx(0.9545, abs=4 * np.sqrt(0.9545 * 0.0455 / 2000))


def test_exact_readings_leave_no_scatter() -> None:
    angle = np.arange(12) * 30.0
    turn = once_per_turn(angle, 1e4 + 2 * np.cos(np.radians(angle - 300)))
    assert turn.direction == pytest.approx(300)
    assert turn.fit.standard_deviation == 0
    assert turn.amplitude_uncertainty == 0
    assert turn.fit.apart() is None


def test_nothing_round_the_turn_has_no_direction() -> None:
    turn = once_per_turn(np.arange(8) * 45.0, np.full(8, 3.3))
    assert (turn.amplitude, turn.mean) == pytest.approx((0, 3.3), abs=1e-15)
    assert np.isnan(once_per_turn([0, 120, 240], [0, 0, 0]).direction)


def test_three_readings_leave_the_uncertainty_open() -> None:
    turn = once_per_turn([0, 120, 240], [1, 2, 4])
    assert np.isnan(turn.amplitude_uncertainty)
    assert np.isnan(turn.fit.expanded(turn.amplitude_uncertainty, 0.95))


@pytest.mark.parametrize("angle", [[0, 90], [0, 0, 180], [0, 360, 180]])
def test_too_few_angles_are_refused(angle: list[float]) -> None:
    with pytest.raises(Refused):
        once_per_turn(angle, np.zeros(len(angle)))


@pytest.mark.parametrize("wrong", range(12))
def test_a_slip_stands_apart(wrong: int) -> None:
    rng = np.random.default_rng(3)
    angle = np.arange(12) * 30.0
    value = 8 * np.cos(np.radians(angle)) + rng.normal(0, 0.2, 12)
    assert once_per_turn(angle, value).fit.apart() is None
    value[wrong] += 3
    assert once_per_turn(angle, value).fit.apart() == wrong
