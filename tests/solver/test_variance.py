"""Variances in closed form, against published factors and against the covariance of the adjustment itself."""

from __future__ import annotations

import csv
from itertools import combinations
from pathlib import Path

import numpy as np
import pytest

from solver.adjust import Adjustment, adjust
from solver.cells import gather
from solver.closure import Closure
from solver.refused import Refused
from solver.variance import bound, cells, degrees_of_freedom, determines, rank, variances

PUBLISHED = Path(__file__).parents[1] / "published"
MODELS = [
    Closure(7),
    Closure(12),
    Closure(9, arrangement="face by face", polarity=-1),
    Closure(8, reading="interval"),
    Closure(6, reading="interval", arrangement="face by face"),
    Closure(6, reading="interval", drift="linear"),
    Closure(5, kind="single", reading="interval"),
    Closure(2),
    Closure(2, reading="interval"),
]


def adjusted(closure: Closure, offsets: tuple[int, ...], closing: bool = False) -> Adjustment:
    steps = np.arange(closure.first_step, closure.last_step(closing) + 1)
    run = np.repeat(np.arange(len(offsets)), len(steps))
    step = np.tile(steps, len(offsets))
    return adjust(closure, np.array(offsets), gather(run, step, np.zeros(len(run))))


def random_offsets(closure: Closure, seed: int) -> tuple[int, ...]:
    rng = np.random.default_rng(seed)
    while True:
        offsets = tuple(int(k) for k in rng.integers(0, closure.positions, rng.integers(2, 6)))
        if determines(closure, offsets):
            return offsets


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("closure", MODELS, ids=lambda c: f"{c.kind}-{c.reading}-{c.positions}")
def test_equals_the_dense_covariance_of_both_circles(closure: Closure, seed: int) -> None:
    offsets = random_offsets(closure, seed)
    found, dense = variances(closure, offsets), adjusted(closure, offsets)
    assert dense.determined
    n = closure.positions
    for circle in (dense.lower, dense.upper):
        if circle is None:
            continue
        np.testing.assert_allclose(circle.position.root**2, found.position, rtol=1e-9)
        np.testing.assert_allclose(circle.interval.root**2, found.interval, rtol=1e-9)
        np.testing.assert_allclose(circle.from_first.root**2, found.between, rtol=1e-9, atol=1e-12)
    matrix = dense.cofactor.matrix[:n, :n]
    pairs = [matrix[i, i] + matrix[j, j] - 2 * matrix[i, j] for i, j in combinations(range(n), 2)]
    assert found.any_two_mean == pytest.approx(np.mean(pairs), rel=1e-9)
    assert found.any_two_worst == pytest.approx(np.max(pairs), rel=1e-9)
    h = found.worst_separation
    assert 1 <= h <= n // 2
    assert found.between[h] == pytest.approx(found.any_two_worst)


@pytest.mark.parametrize("closing", [False, True])
@pytest.mark.parametrize("closure", MODELS, ids=lambda c: f"{c.kind}-{c.reading}-{c.positions}")
def test_rank_and_degrees_of_freedom_are_those_of_the_adjustment(closure: Closure, closing: bool) -> None:
    offsets = random_offsets(closure, 11)
    dense = adjusted(closure, offsets, closing)
    runs = len(offsets)
    assert rank(closure, runs) == dense.rank
    assert degrees_of_freedom(closure, runs, closing) == dense.degrees_of_freedom
    assert cells(closure, runs, closing) == len(dense.residual)


@pytest.mark.parametrize("count", [1, 2, 3, 4])
def test_offsets_leave_errors_open_just_when_the_adjustment_says_so(count: int) -> None:
    closure = Closure(12)
    verdicts = set()
    for rest in combinations(range(1, 12), count - 1):
        offsets = (0, *rest)
        expected = adjusted(closure, offsets).determined
        assert determines(closure, offsets) is expected
        found = variances(closure, offsets)
        assert found.determined is expected
        assert np.isfinite(found.between[1:]).all() == expected
        verdicts.add(expected)
    assert verdicts == ({False} if count == 1 else {True, False})


def test_factors_of_the_design_document() -> None:
    # Design document, section 2 (recomputed there by constrained least squares).
    assert variances(Closure(12), (0, 1, 4)).position == pytest.approx(0.4543, abs=5e-5)
    assert variances(Closure(12), (0, 1, 3, 7)).position == pytest.approx(0.2817, abs=5e-5)
    assert variances(Closure(13), (0, 1, 3, 9)).position == pytest.approx(0.2840, abs=5e-5)
    assert variances(Closure(12), tuple(range(12))).position == pytest.approx(0.0764, abs=5e-5)


def test_complete_and_single_closures_have_the_published_factors() -> None:
    # closure_factors.csv: algebra, confirmed by constrained least squares; cases of Estler (1998), Reeve
    # (1975).
    with (PUBLISHED / "closure_factors.csv").open(encoding="utf-8") as file:
        lines = [{key: float(value) for key, value in line.items()} for line in csv.DictReader(file)]
    assert len(lines) > 5
    for line in lines:
        n = int(line["n"])
        complete = tuple(range(n))
        single = variances(Closure(n, kind="single", reading="interval"), (0,))
        position = variances(Closure(n), complete)
        interval = variances(Closure(n, reading="interval"), complete)
        expected = {
            "single_interval": single.interval,
            "single_worst_position": single.any_two_worst,
            "dual_position_or_interval": position.position,
            "dual_interval_reading_worst_position": interval.any_two_worst,
            "dual_position_reading_any_two": position.any_two_worst,
        }
        assert {key: line[key] for key in expected} == pytest.approx(expected, rel=1e-9)
        assert interval.interval == pytest.approx(line["dual_position_or_interval"], rel=1e-9)
        assert position.any_two_mean == pytest.approx(position.any_two_worst, rel=1e-9)


def test_any_two_positions_on_average_follow_from_the_variance_about_the_mean() -> None:
    # Sum over pairs of squared differences = n times the sum of squares about the mean (algebra).
    for closure in MODELS:
        found = variances(closure, random_offsets(closure, 5))
        n = closure.positions
        assert found.any_two_mean == pytest.approx(2 * n / (n - 1) * found.position)


def test_a_return_run_halves_the_variance() -> None:
    once, twice = variances(Closure(12), (0, 1, 4)), variances(Closure(12), (0, 0, 1, 1, 4, 4))
    assert twice.position == pytest.approx(once.position / 2)


@pytest.mark.parametrize(
    ("positions", "offsets"), [(4, (0, 1, 2)), (7, (0, 1, 3)), (12, (0, 1)), (12, (0, 1, 4)), (36, (0, 1, 6))]
)
def test_closing_readings_only_lower_the_variance(positions: int, offsets: tuple[int, ...]) -> None:
    closure = Closure(positions)
    without = variances(closure, offsets).position
    dense = adjusted(closure, offsets, closing=True)
    assert dense.upper is not None
    for circle in (dense.lower, dense.upper):
        mean = float(np.mean(circle.position.root**2))
        assert without * (1 - 1.5 / positions) < mean < without


@pytest.mark.parametrize("reading", ["position", "interval"])
@pytest.mark.parametrize("count", [2, 3, 4, 8, 9])
def test_no_set_betters_the_bound(reading: str, count: int) -> None:
    closure = Closure(9, reading="interval" if reading == "interval" else "position")
    least = bound(closure, count)
    sets = [(0, *rest) for rest in combinations(range(1, 9), count - 1)]
    found = [variances(closure, offsets).position for offsets in sets if determines(closure, offsets)]
    assert found
    assert min(found) >= least * (1 - 1e-12)
    if reading == "position":
        # (n-1)/(n m) holds for any design: m readings of each position (algebra).
        assert least >= 8 / (9 * count) * (1 - 1e-12)


@pytest.mark.parametrize(
    ("positions", "offsets"), [(7, (0, 1, 3)), (13, (0, 1, 3, 9)), (21, (0, 1, 4, 14, 16))]
)
def test_perfect_difference_sets_attain_the_bound(positions: int, offsets: tuple[int, ...]) -> None:
    # Singer's difference sets (combinatorial design theory, recomputed).
    closure = Closure(positions)
    assert variances(closure, offsets).position == pytest.approx(bound(closure, len(offsets)), rel=1e-12)


@pytest.mark.parametrize("closure", [Closure(10), Closure(10, reading="interval")])
@pytest.mark.parametrize("times", [1, 2])
def test_complete_closures_attain_the_bound(closure: Closure, times: int) -> None:
    offsets = tuple(range(10)) * times
    assert variances(closure, offsets).position == pytest.approx(bound(closure, len(offsets)), rel=1e-12)


def test_one_run_has_no_bound_but_infinity() -> None:
    assert bound(Closure(12), 1) == np.inf


def test_a_drift_by_position_is_refused() -> None:
    closure = Closure(12, drift="linear")
    for ask in (lambda: variances(closure, (0, 1)), lambda: bound(closure, 2), lambda: rank(closure, 2)):
        with pytest.raises(Refused, match="closed formula"):
            ask()
