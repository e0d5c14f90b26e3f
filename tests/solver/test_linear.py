"""Budget lines carried into harmonics and other linear functions of the errors: against simulation and numpy.fft.

No source outside for the formulas: they are JCGM 100, equation 13 (read), with the covariances of `solver.effects`.
"""

from __future__ import annotations

import numpy as np
import pytest

from solver.budget import Line, Uncertainty, combine
from solver.closure import Floats
from solver.effects import Effect, Results
from solver.harmonics import amplitude_rows, folded, harmonics, phase_rows, without, without_rows
from solver.linear import combine_linear
from tests.solver.lines import LINES

N = 12
HERE = np.arange(N)
TURN = 2 * np.pi * HERE / N
#: Cofactor matrix of position errors about the mean, complete closure (design, section 2).
COFACTOR = (np.eye(N) - 1 / N) / N
#: Every order there is, far above the uncertainties below.
ERROR = np.sum([(0.6 - 0.05 * h) * np.cos(h * TURN - h) for h in range(1, 7)], axis=0)


def stated(rows: Floats, lines: tuple[Line, ...] = (), deviation: float = 0.05) -> Uncertainty:
    return combine_linear("lower", rows, ERROR, COFACTOR, deviation, np.inf, lines, 0.9545)


def line(effect: Effect, size: float = 0.01) -> Line:
    return Line("one", standard_uncertainty=size, effect=effect)


FOUND = harmonics(ERROR, COFACTOR, 0.05, np.inf)


@pytest.mark.parametrize("start", [None, 3])
def test_single_errors_and_differences_have_what_the_budget_gives_them(start: int | None) -> None:
    """The rows of one position, and of one less another, with every kind of line."""
    rows = np.eye(N) if start is None else np.eye(N) - np.eye(N)[start]
    value = ERROR - ERROR.mean() if start is None else ERROR - ERROR[start]
    root = np.sqrt(np.maximum(np.einsum("mi,ij,mj->m", rows, COFACTOR, rows), 0))
    begins = None if start is None else np.full(N, start)
    shape = line(Effect("shape", shape=tuple(np.sqrt(HERE).tolist())))
    lines = (*LINES, shape, line(Effect("harmonic", order=5, phase=20.0)), line(Effect("constant")))
    expected = combine(Results("lower", N, HERE, begins, value, root), 0.05, 9, lines, 0.9545)
    found = combine_linear("lower", rows, ERROR, COFACTOR, 0.05, 9, lines, 0.9545)
    np.testing.assert_allclose(found.components, expected.components, atol=1e-15)
    np.testing.assert_allclose(found.expanded, expected.expanded, rtol=1e-12)


def test_with_no_line_it_is_type_a() -> None:
    np.testing.assert_allclose(stated(amplitude_rows(FOUND, N)).standard, FOUND.amplitude_uncertainty)
    np.testing.assert_allclose(stated(phase_rows(FOUND, N)).standard, FOUND.phase_uncertainty, atol=1e-12)


@pytest.mark.parametrize("m", [1, 2, 5, 7, 11, 13, 6, 12])
def test_an_effect_feeds_the_order_on_which_it_falls_and_no_other(m: int) -> None:
    """Of unknown phase: u on the amplitude and u over the amplitude on the phase of one order."""
    one = (line(Effect("harmonic", order=m)),)
    amplitude = stated(amplitude_rows(FOUND, N), one).components[1]
    phase = stated(phase_rows(FOUND, N), one).components[1]
    expected = np.where(FOUND.order == folded(m, N), 0.01, 0.0)
    np.testing.assert_allclose(amplitude, expected, atol=1e-15)
    expected[FOUND.order == 6] = 0.0
    np.testing.assert_allclose(np.radians(phase), expected / FOUND.amplitude, atol=1e-14)


def test_a_known_phase_moves_amplitude_or_phase() -> None:
    """In step with the harmonic u goes all into the amplitude, a quarter of a period off all into the phase."""
    peak = float(FOUND.phase[1])
    for phase, along in ((90.0 - peak, 1.0), (-peak, 0.0)):
        one = (line(Effect("harmonic", order=2, phase=phase)),)
        assert stated(amplitude_rows(FOUND, N), one).components[1, 1] == pytest.approx(
            0.01 * along, abs=1e-12
        )
        turned = np.radians(stated(phase_rows(FOUND, N), one).components[1, 1]) * FOUND.amplitude[1]
        assert turned == pytest.approx(0.01 * (1 - along), abs=1e-12)


def test_what_differs_from_position_to_position_averages_down() -> None:
    one = (line(Effect("position")),)
    amplitude = stated(amplitude_rows(FOUND, N), one).components[1]
    np.testing.assert_allclose(amplitude[:5], 0.01 * np.sqrt(2 / N))
    assert amplitude[5] == pytest.approx(0.01 * np.sqrt(1 / N))


def test_scale_is_wrong_in_proportion_and_what_is_constant_cancels() -> None:
    scale, constant = (line(Effect("proportional")),), (line(Effect("constant")),)
    np.testing.assert_allclose(stated(amplitude_rows(FOUND, N), scale).components[1], 0.01 * FOUND.amplitude)
    np.testing.assert_allclose(stated(phase_rows(FOUND, N), scale).components[1], 0, atol=1e-12)
    for rows in (amplitude_rows(FOUND, N), phase_rows(FOUND, N)):
        np.testing.assert_allclose(stated(rows, constant).components[1], 0, atol=1e-12)


def simulated(count: int = 4000) -> tuple[tuple[Line, ...], Floats]:
    """Lines, and errors of many circles as those lines and the scatter would falsify them, about their mean."""
    rng = np.random.default_rng(4)
    shape = np.sin(HERE.astype(float)) ** 2
    lines = (
        line(Effect("position"), 0.02),
        line(Effect("harmonic", order=2), 0.03),
        line(Effect("harmonic", order=13), 0.02),
        line(Effect("ramp", "lower"), 0.1),
        line(Effect("shape", shape=tuple(shape.tolist())), 0.04),
        line(Effect("proportional"), 0.03),
        line(Effect("harmonic", "upper", order=3), 5.0),
    )

    def one() -> Floats:
        return np.asarray(rng.normal(0, 1, (count, 1)))

    found = (ERROR - ERROR.mean()) * (1 + 0.03 * one())
    found += rng.normal(0, 0.05 / np.sqrt(N), (count, N)) + rng.normal(0, 0.02, (count, N))
    found += 0.03 * np.sqrt(2) * np.sin(2 * TURN + rng.uniform(0, 2 * np.pi, (count, 1)))
    found += 0.02 * np.sqrt(2) * np.sin(13 * TURN + rng.uniform(0, 2 * np.pi, (count, 1)))
    found += 0.1 * one() * HERE / N + 0.04 * one() * shape
    return lines, found - found.mean(axis=1, keepdims=True)


def test_amplitude_and_phase_scatter_as_stated_and_intervals_hold_them() -> None:
    """4,000 falsified circles through numpy.fft: standard deviations are known to 1.1 %, shares to 0.3 %."""
    lines, errors = simulated()
    transform = np.fft.rfft(errors)[:, 1:] * 2 / N
    transform[:, -1] /= 2
    amplitude = np.abs(transform)
    off = np.degrees(np.angle(transform * np.exp(1j * np.radians(FOUND.phase))))
    u, phase = stated(amplitude_rows(FOUND, N), lines), stated(phase_rows(FOUND, N), lines)
    np.testing.assert_allclose(amplitude.std(axis=0), u.standard, rtol=0.05)
    np.testing.assert_allclose(off[:, :5].std(axis=0), phase.standard[:5], rtol=0.05)
    held = [(np.abs(amplitude - FOUND.amplitude) <= u.expanded).mean(axis=0)]
    held.append((np.abs(off) <= phase.expanded).mean(axis=0)[:5])
    for inside in held:
        # On order 2 an effect of one size and any phase rules: U-shaped, so that U is on the safe side.
        assert 0.95 < inside[1] < 0.985
        np.testing.assert_allclose(np.delete(inside, 1), 0.9545, atol=0.015)


def test_what_remains_scatters_as_stated() -> None:
    lines, errors = simulated()
    kept = np.array([without(each, COFACTOR, (2, 3))[0] for each in errors[:1500]])
    u = stated(without_rows(N, (2, 3)), lines)
    np.testing.assert_allclose(kept.std(axis=0), u.standard, rtol=0.08)
    only = stated(without_rows(N, (2, 3)), (line(Effect("harmonic", order=2)),))
    np.testing.assert_allclose(only.components[1], 0, atol=1e-15)


def test_no_phase_no_uncertainty() -> None:
    found = harmonics(np.cos(TURN), COFACTOR, 0.05, np.inf)
    u = combine_linear("lower", phase_rows(found, N), np.cos(TURN), COFACTOR, 0.05, np.inf, (), 0.9545)
    assert np.isfinite(u.expanded[0])
    assert np.isnan(u.expanded[1:]).all()
