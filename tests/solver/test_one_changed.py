"""One changed position: a dense least squares of all readings of both sessions, with one unknown more for it."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from solver.adjust import adjust
from solver.cells import gather
from solver.closure import Closure, Floats
from solver.comparison import Measured, change, whole_change
from solver.one_changed import OneChanged, one_changed

N = 12
Offsets = tuple[int, ...]
PARTIAL, OTHER, COMPLETE = (0, 1, 4), (0, 1, 3, 7), tuple(range(N))


def readings(offsets: Offsets, lower: Floats, sd: float, seed: int) -> tuple[Floats, Floats]:
    """Design over lower circle, upper circle and runs, one row a reading, and the readings."""
    generator = np.random.default_rng(seed)
    n, rows = len(lower), []
    for run, offset in enumerate(offsets):
        for step in range(n + 1):
            row = np.zeros(2 * n + len(offsets))
            row[[step % n, n + (offset - step) % n, 2 * n + run]] = 1
            rows.append(row)
    design = np.array(rows)
    truth = np.concatenate([lower, generator.normal(0, 0.3, n), generator.normal(0, 5, len(offsets))])
    return design, design @ truth + generator.normal(0, sd, len(design))


def measured(offsets: Offsets, value: Floats, sd: float, n: int = N) -> Measured:
    run, step = np.repeat(np.arange(len(offsets)), n + 1), np.tile(np.arange(n + 1), len(offsets))
    found = adjust(Closure(n), np.array(offsets), gather(run, step, value, runs=len(offsets)))
    return Measured(found.lower.position.value, found.cofactor.part(0, n).matrix, sd, np.inf)


def together(
    old: tuple[Floats, Floats], new: tuple[Floats, Floats], sd: tuple[float, float], at: int | None
) -> tuple[float, float, float, int]:
    """Change and standard uncertainty, weighted squares left and rank, of one lower circle in both sessions."""
    (first, old_value), (later, new_value) = old, new
    design = np.zeros((len(first) + len(later), first.shape[1] + later.shape[1] - N + 1))
    design[: len(first), : first.shape[1]] = first
    design[len(first) :, :N] = later[:, :N]
    design[len(first) :, first.shape[1] : -1] = later[:, N:]
    if at is not None:
        design[len(first) :, -1] = later[:, at]
    weight = np.repeat([1 / sd[0], 1 / sd[1]], [len(first), len(later)])
    scaled, value = design * weight[:, None], np.concatenate([old_value, new_value]) * weight
    solution, _, rank, _ = np.linalg.lstsq(scaled, value)
    covariance = np.linalg.pinv(scaled.T @ scaled)
    left = float(np.sum((value - scaled @ solution) ** 2))
    return float(solution[-1]), float(np.sqrt(covariance[-1, -1])), left, int(rank)


def own(case: tuple[Floats, Floats], sd: float) -> float:
    design, value = case
    solution = np.linalg.lstsq(design, value)[0]
    return float(np.sum((value - design @ solution) ** 2)) / sd**2


@pytest.mark.parametrize(
    ("offsets", "sd"),
    [
        ((PARTIAL, OTHER), (0.05, 0.08)),
        ((COMPLETE, PARTIAL), (0.05, 0.05)),
        ((COMPLETE, COMPLETE), (0.03, 0.05)),
    ],
)
def test_against_dense_least_squares_with_one_unknown_more(
    offsets: tuple[Offsets, Offsets], sd: tuple[float, float]
) -> None:
    lower = np.random.default_rng(1).normal(0, 0.3, N)
    bump = np.zeros(N)
    bump[5] = 0.5
    old, new = readings(offsets[0], lower, sd[0], 2), readings(offsets[1], lower + bump, sd[1], 3)
    pair = measured(offsets[0], old[1], sd[0]), measured(offsets[1], new[1], sd[1])
    whole = whole_change(*pair)
    found = one_changed(*pair, whole)
    assert found is not None
    assert found.index == 5
    size, u, left, rank = together(old, new, sd, 5)
    assert found.change == pytest.approx(size, rel=1e-6)
    assert found.expanded == pytest.approx(stats.norm.isf(0.02275) * u, rel=1e-6)
    # What one common circle leaves more than a circle for each session, with the further unknown and without.
    apart = own(old, sd[0]) + own(new, sd[1])
    assert found.others.chi_squared == pytest.approx(left - apart, rel=1e-6)
    assert found.others.rank == N - 2
    assert found.others.p_value == pytest.approx(stats.chi2.sf(left - apart, N - 2), rel=1e-5)
    without = together(old, new, sd, None)
    assert whole.chi_squared == pytest.approx(without[2] - apart, rel=1e-6)
    assert rank == without[3] + 1


def test_complete_closures_take_the_position_less_the_mean_of_the_others() -> None:
    found = of(0.6)
    assert found is not None
    difference = np.zeros(N)
    difference[3] = 0.6
    assert found.change == pytest.approx(difference[3] - np.delete(difference, 3).mean())


def of(*sizes: float) -> OneChanged | None:
    """Errors that changed by these sizes from position 3 on, and by nothing else."""
    error = np.zeros(N)
    error[3 : 3 + len(sizes)] = sizes
    matrix = (np.eye(N) - 1 / N) / N
    old = Measured(np.zeros(N), matrix, 0.05, 110.0)
    new = Measured(error - error.mean(), matrix, 0.05, 110.0)
    return one_changed(old, new, change(old, new).whole)


def test_two_changes_or_none_are_not_laid_to_one_position() -> None:
    assert of(0.6, 0.6) is None
    assert of(0.6, -0.6) is None
    assert of(0.0) is None


def test_a_change_that_either_of_two_positions_explains_is_laid_to_neither() -> None:
    """Two positions, each just too little: without either of them the others no longer differ by more than chance."""
    size = 0.0742
    # Algebra: the squares about the mean, over the variance of a difference, with both changes and with one.
    variance = 2 * 0.05**2 / N
    with_both, with_one = (size**2 * k * (1 - k / m) / variance for k, m in ((2, N), (1, N - 1)))
    assert stats.chi2.sf(with_both, N - 1) < 0.03
    assert stats.chi2.sf(with_one, N - 2) > 0.2
    assert of(size, size) is None
    assert of(1.5 * size) is not None


def test_with_a_budget_u_is_of_that_difference() -> None:
    """JCGM 100, 5.2.2: u at each position makes u root(1 + 1/11) for one less the mean of eleven, in each session."""
    matrix = (np.eye(N) - 1 / N) / N
    error = np.zeros(N)
    error[3] = 1.0

    def budget(rows: Floats) -> Floats:
        return np.asarray(2 * 0.1 * np.linalg.norm(rows, axis=1))

    old = Measured(np.zeros(N), matrix, 0.05, 110.0, budget)
    new = Measured(error - error.mean(), matrix, 0.05, 110.0, budget)
    found = one_changed(old, new, change(old, new).whole)
    assert found is not None
    assert found.expanded == pytest.approx(2 * 0.1 * np.sqrt(2) * np.sqrt(1 + 1 / 11))


def test_two_positions_cannot_tell_which_of_them_changed() -> None:
    matrix = (np.eye(2) - 1 / 2) / 2
    old = Measured(np.zeros(2), matrix, 0.05, 20.0)
    new = Measured(np.array([0.5, -0.5]), matrix, 0.05, 20.0)
    assert one_changed(old, new, change(old, new).whole) is None
