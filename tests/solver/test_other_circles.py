"""Polygons face by face, and one circle against a fixed angle: against dense least squares and by simulation."""

from __future__ import annotations

import numpy as np
import pytest

from solver.adjust import adjust
from solver.cells import gather
from solver.closure import Closure, Ints
from solver.offsets import best_offsets
from solver.variance import variances
from tests.solver.dense import Case, Dense, row

POLYGON = "face by face"


def places(closure: Closure, runs: int, keep: float, seed: int) -> tuple[Ints, Ints]:
    """Return the cells of a series, with closing readings by "position" and some cells missing."""
    steps = np.arange(closure.first_step, closure.positions + 1)
    run, step = (x.ravel() for x in np.meshgrid(np.arange(runs), steps, indexing="ij"))
    chosen = np.sort(np.random.default_rng(seed).permutation(len(run))[: round(keep * len(run))])
    return run[chosen], step[chosen]


def case(closure: Closure, offsets: tuple[int, ...], keep: float, seed: int) -> Case:
    run, step = places(closure, len(offsets), keep, seed)
    value = np.random.default_rng(seed + 100).normal(0, 2, len(run))
    return Case(closure, np.array(offsets), run, step, value, run)


@pytest.mark.parametrize("faces", [3, 7, 8, 12, 24, 36, 72])
@pytest.mark.parametrize("reading", ["position", "interval"])
def test_polygons_of_any_number_of_faces(faces: int, reading: str) -> None:
    closure = Closure(faces, reading=reading, arrangement=POLYGON)  # type: ignore[arg-type]
    given = case(closure, best_offsets(closure, min(faces, 4)), 0.95, faces)
    adjustment, dense = given.adjust(), Dense.of(given)
    assert adjustment.rank == dense.rank
    assert adjustment.upper is not None
    for circle, start in ((adjustment.lower, 0), (adjustment.upper, faces)):
        for kind, (value, root) in dense.circle(start).items():
            found = getattr(circle, kind)
            np.testing.assert_allclose(found.value, value, atol=1e-8)
            np.testing.assert_allclose(found.root, root, atol=1e-8)


@pytest.mark.parametrize("positions", [2, 3, 7, 12, 36])
@pytest.mark.parametrize("keep", [1.0, 0.9])
def test_one_circle_against_a_fixed_angle(positions: int, keep: float) -> None:
    closure = Closure(positions, kind="single", reading="interval")
    given = case(closure, (0, 0, 0), keep, positions)
    adjustment, dense = given.adjust(), Dense.of(given)
    assert adjustment.rank == dense.rank
    for kind, (value, root) in dense.circle(0).items():
        found = getattr(adjustment.lower, kind)
        np.testing.assert_allclose(found.value, value, atol=1e-8)
        np.testing.assert_allclose(found.root, root, atol=1e-8)
    x = np.eye(positions + 1)[positions:]
    value, root = dense.functions(x)
    np.testing.assert_allclose(adjustment.reference.value, value, atol=1e-8)
    np.testing.assert_allclose(adjustment.reference.root, root, atol=1e-8)


@pytest.mark.parametrize(
    ("closure", "offsets", "keep"),
    [
        (Closure(7, arrangement="face by face"), (0, 1, 3), 0.9),
        (Closure(8, reading="interval", arrangement="face by face"), (0, 1, 3, 4), 0.9),
        (Closure(8, kind="single", reading="interval"), (0, 0, 0), 0.85),
    ],
)
def test_the_whole_covariance_by_simulation(closure: Closure, offsets: tuple[int, ...], keep: float) -> None:
    """3,000 series, seeded: readings by the table of the design, every covariance within 5 standard deviations."""
    n, sessions = closure.positions, 3000
    run, step = places(closure, len(offsets), keep, 1)
    count = n if closure.kind == "single" else 2 * n
    columns = len(row(closure, 0, 1, 0, len(offsets)))
    rng = np.random.default_rng(2)
    truth = rng.normal(0, 1, columns)
    exact = np.array(
        [
            row(closure, offsets[r], t, r, len(offsets)) @ truth
            for r, t in zip(run.tolist(), step.tolist(), strict=True)
        ]
    )
    found = np.empty((sessions, count))
    for number in range(sessions):
        cells = gather(run, step, exact + rng.normal(size=len(run)), runs=len(offsets))
        adjustment = adjust(closure, np.array(offsets), cells)
        found[number] = adjustment.theta[:count]
    assert adjustment.determined
    true = truth[:count].reshape(-1, n)
    error = found - (true - true.mean(axis=1, keepdims=True)).ravel()
    stated = adjustment.cofactor.matrix
    seen = error.T @ error / sessions
    own = np.diag(stated)
    scatter = np.sqrt((np.outer(own, own) + stated**2) / sessions)
    assert np.abs((seen - stated) / scatter).max() < 5
    assert np.abs(error.mean(axis=0) / np.sqrt(own / sessions)).max() < 4.5


@pytest.mark.parametrize("faces", [7, 8, 12, 24])
def test_a_polygon_is_known_as_well_as_an_index_of_as_many_positions(faces: int) -> None:
    """By algebra the face-by-face closure is the counter-rotating one with the upper circle's numbers reversed."""
    offsets = best_offsets(Closure(faces), 3)
    run, step = np.divmod(np.arange(3 * faces), faces)
    zero = gather(run, step, np.zeros(3 * faces))
    expected = variances(Closure(faces), offsets).position
    for arrangement in ("face by face", "counter-rotating"):
        adjustment = adjust(Closure(faces, arrangement=arrangement), np.array(offsets), zero)
        assert adjustment.upper is not None
        for circle in (adjustment.lower, adjustment.upper):
            np.testing.assert_allclose(circle.position.root**2, expected, rtol=1e-10)
