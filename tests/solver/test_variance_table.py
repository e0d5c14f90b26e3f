"""The variance table of the design document, section 2, and the ranks beside it.

Source: algebra, confirmed by constrained least squares; recomputed.
"""

from __future__ import annotations

import numpy as np
import pytest

from solver.closure import Closure
from tests.solver.cases import session

SIZES = [2, 3, 4, 5, 8, 12, 13]


@pytest.mark.parametrize("n", SIZES)
def test_complete_dual_closure_by_position(n: int) -> None:
    adjustment = session(Closure(n), list(range(n))).adjust()
    assert adjustment.upper is not None
    for circle in (adjustment.lower, adjustment.upper):
        np.testing.assert_allclose(circle.position.root**2, (n - 1) / n**2)
        np.testing.assert_allclose(circle.from_first.root[1:] ** 2, 2 / n)
        np.testing.assert_allclose(circle.interval.root**2, 2 / n)
    matrix = adjustment.cofactor.matrix[:n, :n]
    between = np.diag(matrix)[:, None] + np.diag(matrix) - 2 * matrix
    np.testing.assert_allclose(between[~np.eye(n, dtype=bool)], 2 / n)
    assert adjustment.rank == 3 * n - 2
    assert adjustment.degrees_of_freedom == (n - 1) * (n - 2)


@pytest.mark.parametrize("n", SIZES)
def test_complete_dual_closure_by_interval(n: int) -> None:
    adjustment = session(Closure(n, reading="interval"), list(range(n))).adjust()
    assert adjustment.upper is not None
    for circle in (adjustment.lower, adjustment.upper):
        np.testing.assert_allclose(circle.interval.root**2, (n - 1) / n**2)
    assert adjustment.rank == 2 * n - 2
    assert adjustment.degrees_of_freedom == n * n - (2 * n - 2)


@pytest.mark.parametrize("n", SIZES)
@pytest.mark.parametrize("runs", [1, 3])
def test_single_closure(n: int, runs: int) -> None:
    closure = Closure(n, kind="single", reading="interval")
    adjustment = session(closure, [0] * runs).adjust()
    position = np.arange(n)
    np.testing.assert_allclose(adjustment.lower.interval.root**2, (n - 1) / n / runs)
    expected = position * (n - position) / n / runs
    np.testing.assert_allclose(adjustment.lower.from_first.root**2, expected, atol=1e-14)
    assert adjustment.rank == n
    assert adjustment.degrees_of_freedom == n * runs - n


def partial_factor(n: int, offsets: list[int]) -> float:
    """Return the mean variance about the mean: (1/n) sum over f of 1/(m - |D[f]|²/m), D the DFT of the multiplicity."""
    count = np.bincount(np.array(offsets) % n, minlength=n)
    power = np.abs(np.fft.fft(count)[1:]) ** 2
    return float(np.sum(1 / (len(offsets) - power / len(offsets))) / n)


@pytest.mark.parametrize(
    ("n", "offsets"),
    [
        (5, [0, 1]),
        (8, [0, 1, 1, 3]),
        (9, [2, 3, 3, 3]),
        (12, [0, 1, 4, 6]),
        (16, [0, 5, 5, 0]),
        (36, [0, 1, 7, 17]),
    ],
)
@pytest.mark.parametrize("arrangement", ["counter-rotating", "face by face"])
def test_partial_closure(n: int, offsets: list[int], arrangement: str) -> None:
    closure = Closure(n, arrangement=arrangement)  # type: ignore[arg-type]
    adjustment = session(closure, offsets).adjust()
    assert adjustment.upper is not None
    for circle in (adjustment.lower, adjustment.upper):
        assert np.mean(circle.position.root**2) == pytest.approx(partial_factor(n, offsets), rel=1e-9)


@pytest.mark.parametrize(
    ("n", "offsets", "factor"),
    [
        (12, [0, 1, 4], 0.4543),
        (12, [0, 1, 3, 7], 0.2817),
        (13, [0, 1, 3, 9], 0.2840),
        (12, list(range(12)), 0.0764),
    ],
)
def test_quoted_partial_closures(n: int, offsets: list[int], factor: float) -> None:
    case = session(Closure(n), offsets)
    adjustment = case.adjust()
    assert len(case.cells) == n * len(offsets)
    assert round(float(np.mean(adjustment.lower.position.root**2)), 4) == factor


def test_a_perfect_difference_set_treats_all_pairs_alike() -> None:
    adjustment = session(Closure(13), [0, 1, 3, 9]).adjust()
    matrix = adjustment.cofactor.matrix[:13, :13]
    between = np.diag(matrix)[:, None] + np.diag(matrix) - 2 * matrix
    np.testing.assert_allclose(between[~np.eye(13, dtype=bool)], between[0, 1])
