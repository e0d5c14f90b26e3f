"""How the work of one more reading grows from 12 to 360 positions, in one table with its peers.

Run with: python -m pytest tests/benchmarks/test_growth.py -s

Each column is a complete dual closure by position with one reading a cell. Peers solve the same design: numpy's
lstsq (dense, no covariance), scipy's lsqr (sparse and iterative, no covariance), statsmodels' OLS with leverages and
studentized residuals. A peer is left out where its dense design has more
than two million entries: it would take minutes.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import statsmodels.api as sm
from scipy.sparse import csr_array
from scipy.sparse.linalg import lsqr

from sessions.matrix import Matrix
from sessions.parse import parse
from solver.adjust import adjust
from solver.flags import Readings
from solver.screen import screen
from tests.benchmarks.test_record import best, file_of
from tests.benchmarks.test_solver import dense_design, filled
from tests.solver.dense import Case

SIZES = (12, 36, 72, 144, 360)
#: Entries of the largest dense design that a peer is given.
LARGEST = 2_000_000


def sparse_design(case: Case) -> csr_array:
    """Return the same design as `dense_design`, built without its zeros."""
    n, size = case.closure.positions, case.run.size
    here = np.arange(size)
    columns = [case.step % n, n + (case.offset[case.run] - case.step) % n, 2 * n + case.run]
    row = np.concatenate([here, here, here, np.full(n, size), np.full(n, size + 1)])
    column = np.concatenate([*columns, np.arange(2 * n)])
    return csr_array((np.ones(len(row)), (row, column)), shape=(size + 2, 2 * n + len(case.offset)))


def works(n: int) -> dict[str, Callable[[], object] | None]:
    """Return what is timed at one size, peers beside ours."""
    case = filled(n)
    ready, run, step = case.cells, case.run, case.step
    value = np.append(case.value - case.value.mean(), [0.0, 0.0])
    adjustment = adjust(case.closure, case.offset, ready)
    readings = Readings(run, step, case.value, np.arange(1, len(run) + 1), np.zeros(len(run), dtype=bool))
    fits = (len(run) + 2) * 3 * n <= LARGEST
    design = dense_design(case) if fits else None
    sparse = sparse_design(case)
    return {
        "adjustment with covariance and leverages": lambda: adjust(case.closure, case.offset, ready),
        "screening of all readings": lambda: screen(adjustment, case.offset, ready, readings),
        "snapshot of the matrix": matrix_of(n).snapshot,
        "numpy lstsq, values only": None
        if design is None
        else lambda: np.linalg.lstsq(design, value, rcond=None),
        "scipy lsqr, values only": lambda: lsqr(sparse, value, atol=1e-12, btol=1e-12),
        "statsmodels OLS with influence": None if design is None else lambda: influence(design, value),
    }


def influence(design: np.ndarray, value: np.ndarray) -> object:
    found = sm.OLS(value, design).fit().get_influence()
    return found.hat_matrix_diag, found.resid_studentized_internal


def matrix_of(n: int) -> Matrix:
    matrix = parse(file_of(n * n, n), "a").state.matrix
    assert matrix.filled == n * n
    return matrix


def test_growth_from_12_to_360() -> None:
    found: dict[str, list[float]] = {}
    for n in SIZES:
        for name, work in works(n).items():
            peer = name.split()[0] in ("numpy", "scipy", "statsmodels")
            times = 3 if peer or n > 72 else 30
            found.setdefault(name, []).append(np.nan if work is None else best(work, times))
    print(f"\n\n| ms | {' | '.join(map(str, SIZES))} |\n|---|{'---|' * len(SIZES)}")
    for name, taken in found.items():
        cells = " | ".join(
            "–" if np.isnan(each) else f"{1e3 * each:.{0 if each > 0.01 else 2}f}" for each in taken
        )
        print(f"| {name} | {cells} |")
    ours, lstsq, lsqr_ = (np.array(list(found.values())[row]) for row in (0, 3, 4))
    print(
        f"\nlstsq / adjustment: {np.round(lstsq / ours, 1)}; lsqr / adjustment: {np.round(lsqr_ / ours, 1)}"
    )
    assert (lstsq / ours)[2] > 10
    # Not faster than the cells grow, times the width of what is inverted.
    assert ours[-1] / ours[2] < 5**3
