"""How a line of the budget enters a result, against a' V a written out with whole covariance matrices."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from solver.adjust import adjust
from solver.between import between
from solver.cells import gather
from solver.closure import Closure
from solver.effects import Effect, Results, spread

N = 7
RNG = np.random.default_rng(5)
SHAPE = tuple(RNG.normal(size=N).tolist())
ANGLE = 2 * np.pi * np.arange(N) / N

COVARIANCES = {
    "position": (Effect("position"), np.eye(N)),
    "constant": (Effect("constant"), np.ones((N, N))),
    "harmonic, known phase": (
        Effect("harmonic", order=2, phase=30.0),
        np.outer(np.sin(2 * ANGLE + np.pi / 6), np.sin(2 * ANGLE + np.pi / 6)),
    ),
    "harmonic, unknown phase": (
        Effect("harmonic", order=3),
        np.cos(3 * np.subtract.outer(ANGLE, ANGLE)),
    ),
    "ramp": (Effect("ramp"), np.outer(np.arange(N) / N, np.arange(N) / N)),
    "shape": (Effect("shape", shape=SHAPE), np.outer(SHAPE, SHAPE)),
}


def functions(to: NDArray[np.int64], start: NDArray[np.int64] | None) -> NDArray[np.float64]:
    """Return the rows a of the results."""
    rows = np.eye(N)[to]
    return rows - (1 / N if start is None else np.eye(N)[start])


def results(to: NDArray[np.int64], start: NDArray[np.int64] | None) -> Results:
    nothing = np.zeros(len(to))
    return Results("lower", N, to, start, nothing, nothing)


@pytest.mark.parametrize("name", COVARIANCES)
def test_against_covariance(name: str) -> None:
    effect, covariance = COVARIANCES[name]
    here = np.arange(N)
    for to, start in ((here, None), (here, np.zeros(N, dtype=int)), (np.roll(here, -1), here)):
        a = functions(to, start)
        expected = np.einsum("mi,ij,mj->m", a, covariance, a)
        np.testing.assert_allclose(spread(effect, results(to, start)), expected, atol=1e-13)


@pytest.mark.parametrize("start", [None, np.zeros(N, dtype=int)])
def test_constant_cancels(start: NDArray[np.int64] | None) -> None:
    assert not spread(Effect("constant"), results(np.arange(N), start)).any()


def test_phase_that_is_not_known_is_the_mean_over_all_phases() -> None:
    here = np.arange(N)
    for start in (None, np.roll(here, 2)):
        known = [
            spread(Effect("harmonic", order=2, phase=float(phase)), results(here, start))
            for phase in range(0, 360, 5)
        ]
        found = spread(Effect("harmonic", order=2), results(here, start))
        np.testing.assert_allclose(found, 2 * np.mean(known, axis=0), atol=1e-13)


def test_proportional_is_a_wrong_scale_of_all_readings() -> None:
    """Readings that are wrong by a factor, constants of the runs included, make every result wrong by that factor."""
    n = 6
    closure, offsets = Closure(n), np.array([0, 1, 3])
    run, step = (x.ravel() for x in np.meshgrid(np.arange(3), np.arange(n), indexing="ij"))
    reading = RNG.normal(size=run.size) + 40.0 * run
    true = adjust(closure, offsets, gather(run, step, reading)).lower.position
    wrong = adjust(closure, offsets, gather(run, step, reading * 1.01)).lower.position
    change = (wrong.value - true.value) / 0.01
    found = spread(Effect("proportional"), Results("lower", n, np.arange(n), None, true.value, true.root))
    np.testing.assert_allclose(found, change**2, rtol=1e-9)


@pytest.mark.parametrize("effect", [Effect("position"), Effect("ramp"), Effect("harmonic", phase=0.0)])
def test_error_at_the_positions_of_the_lower_reaches_its_results_whole(effect: Effect) -> None:
    """What moves every reading at a lower position is an error of the lower: closure cannot tell it from one."""
    n = 6
    closure, offsets = Closure(n), np.array([0, 1, 3])
    run, step = (x.ravel() for x in np.meshgrid(np.arange(3), np.arange(n), indexing="ij"))
    moved = RNG.normal(size=n)
    found = adjust(closure, offsets, gather(run, step, moved[step]))
    np.testing.assert_allclose(found.lower.position.value, moved - moved.mean(), atol=1e-12)
    assert found.upper is not None
    np.testing.assert_allclose(found.upper.position.value, 0, atol=1e-12)


def test_cell_averages_down_as_the_scatter_does() -> None:
    root = np.array([0.1, 0.2])
    given = Results("upper", 2, np.arange(2), None, np.zeros(2), root)
    np.testing.assert_allclose(spread(Effect("cell"), given), root**2)


def test_between_any_two_positions() -> None:
    """Against the results that the adjustment itself gives, and with an undetermined circle."""
    n = 8
    run, step = (x.ravel() for x in np.meshgrid(np.arange(3), np.arange(n), indexing="ij"))
    cells = gather(run, step, RNG.normal(size=run.size))
    adjustment = adjust(Closure(n), np.array([0, 1, 3]), cells)
    assert adjustment.upper is not None
    here = np.arange(n)
    for name, circle in (("lower", adjustment.lower), ("upper", adjustment.upper)):
        first = between(adjustment, name, here, np.zeros(n, dtype=int))
        np.testing.assert_allclose(first.value, circle.from_first.value, atol=1e-12)
        np.testing.assert_allclose(first.root, circle.from_first.root, atol=1e-12)
        interval = between(adjustment, name, np.roll(here, -1), here)
        np.testing.assert_allclose(interval.value, circle.interval.value, atol=1e-12)
        np.testing.assert_allclose(interval.root, circle.interval.root, atol=1e-12)
        same = between(adjustment, name, here, here)
        assert not same.value.any()
        assert not same.root.any()
    even = adjust(Closure(n), np.array([0, 2, 4]), cells)
    found = between(even, "lower", np.array([2, 1]), np.array([0, 0]))
    assert np.isfinite(found.value[0])
    assert np.isnan(found.value[1])
