"""Every number of the adjustment against a dense constrained solution, on sessions whole and broken.

Source: an independent solution by singular values (tests/solver/dense.py); recomputed.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from solver.circle import Values
from solver.closure import Closure
from tests.solver.cases import KINDS, random_case, session
from tests.solver.dense import Case, Dense, Floats


def same(found: Values, expected: tuple[Floats, Floats]) -> None:
    """Same value by value: determined or not, the value, and the root of its cofactor."""
    np.testing.assert_allclose(found.value, expected[0], rtol=1e-9, atol=1e-9)
    np.testing.assert_allclose(found.root, expected[1], rtol=1e-8, atol=1e-8)


def everything(case: Case) -> None:
    adjustment, dense, n = case.adjust(), Dense.of(case), case.closure.positions
    circles = [(adjustment.lower, 0)] + ([(adjustment.upper, n)] if adjustment.upper else [])
    for circle, start in circles:
        for name, expected in dense.circle(start).items():
            same(getattr(circle, name), expected)
    np.testing.assert_allclose(adjustment.residual, dense.residual, rtol=0, atol=1e-10)
    np.testing.assert_allclose(adjustment.leverage, dense.leverage, rtol=0, atol=1e-9)
    assert adjustment.rank == dense.rank
    freedom = len(case.cells) - dense.rank
    assert adjustment.degrees_of_freedom == freedom
    if freedom:
        deviation = np.sqrt(dense.residual @ dense.residual / freedom)
        assert adjustment.standard_deviation == pytest.approx(deviation, rel=1e-9)
    else:
        assert np.isnan(adjustment.standard_deviation)


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: "-".join(map(str, kind.values())))
@pytest.mark.parametrize("seed", range(12))
def test_errors_and_residuals_of_random_sessions(kind: dict[str, Any], seed: int) -> None:
    everything(random_case(seed, kind))


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: "-".join(map(str, kind.values())))
@pytest.mark.parametrize("seed", range(100, 106))
def test_what_the_runs_share(kind: dict[str, Any], seed: int) -> None:
    case = random_case(seed, kind)
    adjustment, dense = case.adjust(), Dense.of(case)
    closure, start = case.closure, 2 * case.closure.positions
    if closure.kind == "single":
        same(adjustment.reference, dense.functions(np.eye(dense.design.shape[1])[closure.positions :]))
        assert np.isnan(adjustment.constant.value).all()
    elif closure.reading == "position":
        same(adjustment.constant, dense.block(start))
        start += case.groups
    else:
        assert np.isnan(adjustment.constant.value).all()
    if closure.drift == "linear":
        same(adjustment.drift, dense.block(start))
    else:
        assert np.isnan(adjustment.drift.value).all()


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: "-".join(map(str, kind.values())))
@pytest.mark.parametrize("seed", range(200, 206))
def test_predictions_of_every_cell_filled_or_not(kind: dict[str, Any], seed: int) -> None:
    case = random_case(seed, kind)
    steps = np.arange(case.closure.first_step, case.closure.positions + 1)
    run, step = (x.ravel() for x in np.meshgrid(np.arange(len(case.offset)), steps, indexing="ij"))
    found = case.adjust().predict(case.offset[run], step, run)
    same(found, Dense.of(case).predict(case.offset[run], step, run))


def test_most_random_sessions_are_of_every_sort() -> None:
    """The cases above would prove little if all were determined, or none."""
    found = [random_case(seed, kind).adjust() for kind in KINDS for seed in range(12)]
    share = np.mean([a.determined for a in found])
    partly = np.mean([not a.determined and np.isfinite(a.lower.interval.value).any() for a in found])
    assert 0.2 < share < 0.8
    assert partly > 0.05
    assert np.mean([a.degrees_of_freedom > 0 for a in found]) > 0.5


def test_no_reading_at_all() -> None:
    closure = Closure(5)
    whole = session(closure, [0, 1])
    empty = Case(closure, whole.offset, whole.run[:0], whole.step[:0], whole.value[:0], whole.group[:0])
    everything(empty)
    adjustment = empty.adjust()
    assert adjustment.rank == 0
    assert adjustment.missing == 2 * closure.positions - 2
    assert adjustment.lower.from_first.value[0] == 0.0
