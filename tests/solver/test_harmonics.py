"""Harmonics of a circle, with their uncertainties; what remains without some of them; the largest errors."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest

from solver.adjust import Adjustment, adjust
from solver.cells import gather
from solver.closure import Closure, Floats, Ints
from solver.extremes import largest_between, largest_interval
from solver.harmonics import Harmonics, folded, harmonics, without
from solver.refused import Refused

PUBLISHED = Path(__file__).parents[1] / "published"
#: Cosine and sine parts of orders 1 … 6 of `harmonic_12pt.csv`: an engineering-mathematics worked example (recomputed).
TWELVE = (
    (1.255459161, 0.761442225),
    (-0.433333333, -0.404145188),
    (-0.35, -0.033333333),
    (-0.116666667, -0.433012702),
    (-0.505459161, 0.155224442),
    (0.058333333, 0.0),
)


def column(name: str, key: str) -> Floats:
    with (PUBLISHED / f"{name}.csv").open(encoding="utf-8") as file:
        return np.array([float(line[key]) for line in csv.DictReader(file)])


def plain(error: Floats) -> Harmonics:
    return harmonics(error, np.eye(len(error)), 1.0, np.inf)


def solved(closure: Closure, offsets: tuple[int, ...], keep: Ints, value: Floats) -> Adjustment:
    """Solve the cells of complete runs that `keep` picks."""
    steps = np.arange(closure.positions) + closure.first_step
    run, step = (x.ravel()[keep] for x in np.meshgrid(np.arange(len(offsets)), steps, indexing="ij"))
    return adjust(closure, np.array(offsets), gather(run, step, value, runs=len(offsets)))


def test_the_published_twelve_points() -> None:
    found = plain(column("harmonic_12pt", "y"))
    np.testing.assert_allclose(np.column_stack([found.cosine, found.sine]), TWELVE, atol=1e-9)
    parseval = np.sum(found.amplitude[:5] ** 2) / 2 + found.amplitude[5] ** 2
    assert parseval == pytest.approx(1.5590972222, abs=1e-9)


@pytest.mark.parametrize("way", ["forward", "reverse"])
def test_a_real_encoder_against_the_fourier_transform(way: str) -> None:
    """Sensors 24 (2024) 1400, table 6 (read); numpy.fft with a = 2 Re/n, b = -2 Im/n, order n/2 halved (recomputed)."""
    error = column("harmonic_24pt_encoder", f"{way}_arcsec")
    found, transform = plain(error), np.fft.rfft(error)[1:] * 2 / 24
    transform[-1] /= 2
    np.testing.assert_allclose(found.cosine, transform.real, atol=1e-12)
    np.testing.assert_allclose(found.sine, -transform.imag, atol=1e-12)
    np.testing.assert_allclose(found.phase, np.degrees(np.angle(transform.conj())) % 360, atol=1e-9)


@pytest.mark.parametrize("n", [2, 3, 7, 12, 24])
def test_what_remains_is_what_the_transform_leaves(n: int) -> None:
    """numpy.fft with the orders set to zero (recomputed)."""
    error = np.random.default_rng(1).normal(size=n)
    for orders in [(), (1,), (n // 2,), tuple(range(1, n // 2 + 1))]:
        transform = np.fft.rfft(error)
        transform[[0, *orders]] = 0
        rest, spread = without(error, np.eye(n), orders)
        np.testing.assert_allclose(rest, np.fft.irfft(transform, n), atol=1e-12)
        assert np.linalg.matrix_rank(spread, tol=1e-9) == np.count_nonzero(
            np.abs(np.fft.fft(spread[0])) > 1e-9
        )


def test_the_variance_of_what_remains_is_that_of_the_orders_left() -> None:
    """By algebra: of n white errors each pair of parts carries 2/n of the variance of one."""
    _, spread = without(np.zeros(12), np.eye(12), (1, 2))
    np.testing.assert_allclose(np.diag(spread), 1 - 5 / 12, atol=1e-12)


def test_peak_is_where_the_harmonic_is_highest() -> None:
    angle = np.arange(36) * 10.0
    found = plain(3 * np.cos(np.radians(3 * (angle - 50.0))))
    assert found.amplitude[2] == pytest.approx(3.0)
    assert found.peak[2] == pytest.approx(50.0)
    assert np.isnan(np.delete(found.phase, 2)).all()


def test_orders_above_half_the_positions_fold() -> None:
    at = 2 * np.pi * np.arange(12) / 12
    for order in range(40):
        amplitude = plain(np.cos(order * at + 0.3)).amplitude
        where = folded(order, 12)
        if where:
            assert int(np.argmax(amplitude)) + 1 == where
        else:
            assert amplitude.max() < 1e-12


def test_an_order_that_is_not_there_is_refused() -> None:
    with pytest.raises(Refused) as refused:
        without(np.zeros(12), np.eye(12), (7,))
    assert refused.value.remedy == "use 1 to 6"


def test_uncertainties_by_simulation() -> None:
    """3,000 sessions with gaps, seeded: the scatter of amplitude, phase and parts is what is stated, within 6 %."""
    closure, offsets, n = Closure(8), (0, 1, 3), 8
    keep = np.sort(np.random.default_rng(7).permutation(24)[4:])
    run, step = np.divmod(np.arange(24), 8)
    at = 2 * np.pi * np.arange(n) / n
    alpha = 20 * np.cos(at - 1.0) + 15 * np.cos(2 * at + 0.5) + 12 * np.cos(3 * at)
    rng = np.random.default_rng(8)
    seen = []
    for _ in range(3000):
        noise = rng.normal(size=24)
        value = (alpha[(np.array(offsets)[run] - step) % n] + 5 * run + noise)[keep]
        adjustment = solved(closure, offsets, keep, value)
        part = adjustment.cofactor.part(n, 2 * n).matrix
        found = harmonics(adjustment.theta[n:], part, 1.0, np.inf)
        seen.append([found.amplitude[:3], np.degrees(np.unwrap(np.radians(found.phase[:3]) - [1, -0.5, 0]))])
    scatter = np.array(seen)
    np.testing.assert_allclose(scatter[:, 0].std(axis=0), found.amplitude_uncertainty[:3], rtol=0.06)
    truth = harmonics(alpha, part, 1.0, np.inf).phase_uncertainty[:3]
    centred = (scatter[:, 1] + 180) % 360 - 180
    np.testing.assert_allclose(centred.std(axis=0), truth, rtol=0.06)
    # With gaps the parts differ in variance and are correlated, so the test is not that of equal ones.
    axes = np.linalg.eigvalsh(found.cofactor[:3])
    assert (axes[:, 1] / axes[:, 0]).max() > 1.2


@pytest.mark.parametrize(("accepted", "freedom"), [(True, np.inf), (False, 0)])
def test_scatter_alone_is_called_significant_as_often_as_said(accepted: bool, freedom: float) -> None:
    """2,000 sessions of scatter alone with gaps, seeded: p below 5 % in 5 % of them, within 3.5 standard deviations."""
    closure, offsets, n, sessions = Closure(8), (0, 1, 3, 4), 8, 2000
    keep = np.sort(np.random.default_rng(3).permutation(32)[5:])
    rng = np.random.default_rng(4)
    below = np.zeros(n // 2)
    for _ in range(sessions):
        adjustment = solved(closure, offsets, keep, rng.normal(size=len(keep)))
        known = 1.0 if accepted else adjustment.standard_deviation
        degrees = freedom or adjustment.degrees_of_freedom
        part = adjustment.cofactor.part(0, n).matrix
        below += harmonics(adjustment.theta[:n], part, known, degrees).p_value < 0.05
    assert np.abs(below / sessions - 0.05).max() < 3.5 * np.sqrt(0.05 * 0.95 / sessions)


def test_nothing_is_said_of_significance_without_scatter() -> None:
    found = harmonics([1.0, 2.0, 4.0], np.eye(3), np.nan, 0)
    assert np.isnan(found.p_value).all()
    assert np.isnan(found.amplitude_uncertainty).all()
    assert np.isfinite(found.amplitude).all()


def test_the_largest_errors_are_found() -> None:
    error = np.array([0.0, 3.0, -2.0, 0.5, 1.0])
    interval = largest_interval(error, np.eye(5), 0.1, 10)
    assert (interval.start, interval.to, interval.value) == (1, 2, -5.0)
    between = largest_between(error, np.eye(5), 0.1, 10)
    assert (between.start, between.to, between.value) == (2, 1, 5.0)
    assert between.uncertainty == pytest.approx(0.1 * np.sqrt(2))


def test_the_largest_errors_go_round_the_end() -> None:
    interval = largest_interval([0.0, 1.0, 2.0, 3.0], np.eye(4), 0.1, 10)
    assert (interval.start, interval.to, interval.value) == (3, 0, -3.0)


@pytest.mark.parametrize("kind", ["dual", "single"])
def test_scatter_alone_exceeds_the_limit_of_the_largest_at_the_stated_rate(kind: str) -> None:
    """1,500 sessions, seeded. Complete dual closure: 5 % of the ranges (exact); elsewhere 5 % at the most."""
    sessions, n = 1500, 6
    closure = Closure(n) if kind == "dual" else Closure(n, kind="single", reading="interval")
    offsets = tuple(range(n)) if kind == "dual" else (0, 0, 0, 0)
    keep, rng = np.arange(len(offsets) * n), np.random.default_rng(5)
    above = np.zeros(2)
    for _ in range(sessions):
        adjustment = solved(closure, offsets, keep, rng.normal(size=len(keep)))
        part = adjustment.cofactor.part(0, n).matrix
        for number, largest in enumerate((largest_between, largest_interval)):
            found = largest(
                adjustment.theta[:n], part, adjustment.standard_deviation, adjustment.degrees_of_freedom
            )
            above[number] += abs(found.value) > found.limit
    within = 3.5 * np.sqrt(0.05 * 0.95 / sessions)
    assert (above / sessions < 0.05 + within).all()
    if kind == "dual":
        assert abs(above[0] / sessions - 0.05) < within
