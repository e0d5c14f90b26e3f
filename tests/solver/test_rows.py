"""Products with the rows of a design, which are never written out, against the matrix written out.

Source: the table of section 2 of the design document, written out in tests/solver/dense.py; recomputed.
"""

from __future__ import annotations

import numpy as np
import pytest

from solver.closure import Closure
from solver.rows import Rows, rows
from tests.solver.cases import KINDS
from tests.solver.dense import Floats, matrix

N = 7


def written(kind: dict[str, object], step: list[int]) -> tuple[Rows, Floats]:
    """Return rows at some settings and the matrix of the same, without polarity and shared terms."""
    closure = Closure(N, **kind)  # type: ignore[arg-type]
    at = np.array(step)
    offset, group = np.full(len(at), 2), np.zeros(len(at), dtype=int)
    dense = closure.polarity * matrix(closure, offset, at, group, 1)
    return rows(closure, offset, at, group), dense[:, : closure.unknowns]


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: "-".join(map(str, kind.values())))
@pytest.mark.parametrize(
    "step", [[1, 2, 3, 4, 5, 6, 7], [5, 2, 4, 2, 3], []], ids=["round", "partly", "none"]
)
def test_products_with_the_rows(kind: dict[str, object], step: list[int]) -> None:
    design, dense = written(kind, step)
    rng = np.random.default_rng(1)
    theta, across = rng.normal(size=(dense.shape[1], 3)), rng.normal(size=(len(step), 3))
    np.testing.assert_allclose(design.times(theta), dense @ theta, atol=1e-14)
    np.testing.assert_allclose(design.transposed_times(across), dense.T @ across, atol=1e-14)
    along = across[:, 0]
    np.testing.assert_allclose(design.times(theta[:, 0]), dense @ theta[:, 0], atol=1e-14)
    np.testing.assert_allclose(design.transposed_times(along), dense.T @ along, atol=1e-14)
    np.testing.assert_array_equal(design.gram(), dense.T @ dense)
    symmetric = dense.T @ dense + np.eye(dense.shape[1]) + theta @ theta.T
    expected = np.einsum("ni,ij,nj->n", dense, symmetric, dense)
    np.testing.assert_allclose(design.quadratic(symmetric), expected, atol=1e-12)
