"""How fast the adjustment is beside dense least squares, and how much memory it takes.

Run with: python -m pytest tests/benchmarks/test_solver.py -s
"""

from __future__ import annotations

import tracemalloc
from collections.abc import Callable
from time import perf_counter

import numpy as np
import pytest

from solver.adjust import adjust
from solver.closure import Closure
from tests.solver.cases import session, without
from tests.solver.dense import Case
from tests.solver.test_variance_table import partial_factor


def fastest(work: Callable[[], object], times: int = 5) -> float:
    """Return the least duration of several, seconds."""
    best = np.inf
    for _ in range(times):
        start = perf_counter()
        work()
        best = min(best, perf_counter() - start)
    return best


def filled(n: int, cells: int | None = None) -> Case:
    """Return a complete dual closure of n positions, or its first cells as they are taken."""
    whole = session(Closure(n), list(range(n)))
    return whole if cells is None else without(whole, np.arange(whole.run.size) >= cells)


def dense_design(case: Case) -> np.ndarray:
    """Return the design of a closure by position, (beta, alpha, constants), with the means held by two more rows."""
    n, size = case.closure.positions, case.run.size
    design = np.zeros((size + 2, 2 * n + len(case.offset)))
    here = np.arange(size)
    design[here, case.step % n] = 1
    design[here, n + (case.offset[case.run] - case.step) % n] = 1
    design[here, 2 * n + case.run] = 1
    design[size, :n] = design[size + 1, n : 2 * n] = 1
    return design


@pytest.mark.parametrize("cells", [None, 72 * 70 + 30])
def test_ten_times_faster_than_dense_least_squares(cells: int | None) -> None:
    """At 72 x 72, with all covariances and leverages, against lstsq that gives none."""
    case = filled(72, cells)
    ready = case.cells
    design, value = dense_design(case), np.append(case.value, [0.0, 0.0])
    ours = fastest(lambda: adjust(case.closure, case.offset, ready), 30)
    theirs = fastest(lambda: np.linalg.lstsq(design, value, rcond=None), 3)
    expected = np.linalg.lstsq(design, value, rcond=None)[0][:72]
    found = adjust(case.closure, case.offset, ready).lower.position.value
    np.testing.assert_allclose(found, expected, atol=1e-10)
    print(
        f"\n72 x 72, {len(ready)} cells: {1e3 * ours:.1f} ms; lstsq {1e3 * theirs:.0f} ms, {theirs / ours:.0f} x"
    )
    assert theirs > 10 * ours


@pytest.mark.parametrize("cells", [129_600, 128_000, 1900, 540, 180, 10])
def test_large_matrix_as_it_fills(cells: int) -> None:
    """360 x 360, complete and as it fills: time beside one inverse and one eigendecomposition of that size, memory."""
    case = filled(360, cells)
    ready = case.cells
    ours = fastest(lambda: adjust(case.closure, case.offset, ready), 30)
    normal = np.cov(np.random.default_rng(0).normal(size=(720, 1000)))
    inverse = fastest(lambda: np.linalg.inv(normal))
    eigen = fastest(lambda: np.linalg.eigh(normal))
    tracemalloc.start()
    adjustment = adjust(case.closure, case.offset, ready)
    memory = tracemalloc.get_traced_memory()[1] / 2**20
    tracemalloc.stop()
    predict = fastest(lambda: adjustment.predict(case.offset[case.run], case.step, case.run), 3)
    print(
        f"\n360 x 360, {cells} cells: {1e3 * ours:.0f} ms, {ours / (inverse + eigen):.2f} of one inverse and one "
        f"eigendecomposition; predicting them {1e3 * predict:.1f} ms; peak {memory:.0f} MiB; "
        f"undetermined {adjustment.missing}"
    )
    assert ours < 10 * (inverse + eigen)
    assert memory < 200


def test_finest_circle_with_two_neighbouring_offsets() -> None:
    """1440 positions, where the eigenvalues reach down to a millionth."""
    n = 1440
    start = perf_counter()
    adjustment = session(Closure(n), [0, 1]).adjust()
    taken = perf_counter() - start
    expected = partial_factor(n, [0, 1])
    variance = np.mean(adjustment.lower.position.root**2)
    print(f"\n1440 positions, offsets 0 and 1: {taken:.1f} s, variance off by {variance / expected - 1:.1e}")
    assert variance == pytest.approx(expected, rel=1e-9)
    assert adjustment.rank == 2 * n
