"""Studentized deleted residuals against OLSInfluence of statsmodels (recomputed), and with little to go by."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import statsmodels.api as sm  # type: ignore[import-untyped]

from solver import case as recorded
from solver.closure import Closure
from solver.deleted import NOT_PREDICTED, Accepted, Residuals, Scale, least_variance
from solver.esd import generalized_esd
from tests.solver.cases import KINDS, random_case, session
from tests.solver.dense import Case, matrix
from tests.solver.test_against_statsmodels import SESSIONS


def left_of(case: Case) -> Residuals:
    """Return what the product judges of a case of the tests."""
    whole = recorded.Case.of(case.closure, case.offset, case.cells, case.cell_group)
    return recorded.Solved.of(whole, case.adjust()).left


@pytest.mark.parametrize("case", SESSIONS.values(), ids=SESSIONS)
def test_against_statsmodels(case: Case) -> None:
    cells, n = case.cells, case.closure.positions
    circles = 1 if case.closure.kind == "single" else 2
    design = matrix(case.closure, case.offset[cells.run], cells.step, case.cell_group, case.groups)
    whole = np.delete(design, [circle * n for circle in range(circles)], axis=1)
    influence = sm.OLS(cells.value + cells.base[cells.run], whole).fit().get_influence()
    left = left_of(case)
    told = left.redundancy > NOT_PREDICTED
    np.testing.assert_array_equal(told, 1 - influence.hat_matrix_diag > 1e-9)
    error = left.residual[told] / left.redundancy[told]
    np.testing.assert_allclose(error, influence.resid_press[told], rtol=1e-8, atol=1e-10)
    steps = generalized_esd(left).steps
    assert bool(steps) == (left.freedom > 1)
    if steps:
        outstanding = np.abs(influence.resid_studentized_external[told]).max()
        assert steps[0].statistic == pytest.approx(outstanding, rel=1e-8)


@pytest.mark.parametrize("seed", range(12))
def test_columns_of_the_residual_cofactor(seed: int) -> None:
    case = random_case(seed, KINDS[seed % len(KINDS)])
    if not len(case.cells):
        pytest.skip("no cell was drawn")
    cells = case.cells
    design = matrix(case.closure, case.offset[cells.run], cells.step, case.cell_group, case.groups)
    complement = np.eye(len(cells)) - design @ np.linalg.pinv(design, rcond=1e-10)
    left = left_of(case)
    for cell in range(0, len(cells), 3):
        np.testing.assert_allclose(left.column(cell), complement[:, cell], atol=1e-9)


def test_accepted_deviation_is_pooled_by_its_degrees_of_freedom() -> None:
    scale = Scale(squares=10.0, freedom=5.0, accepted=Accepted(3.0, 20.0))
    variance, freedom = scale.without(4.0)
    assert freedom == 24
    assert float(variance) == pytest.approx((6.0 + 20 * 9.0) / 24)


def test_the_last_degree_of_freedom_tells_a_scatter() -> None:
    variance, freedom = Scale(10.0, 2.0).without(4.0)
    assert (float(variance), freedom) == (6.0, 1.0)
    assert np.isnan(float(Scale(10.0, 1.0).without(4.0)[0]))


def test_accepted_deviation_without_degrees_of_freedom_is_known() -> None:
    variance, freedom = Scale(10.0, 5.0, Accepted(3.0)).without(4.0)
    assert (float(variance), freedom) == (9.0, np.inf)


def test_one_contradiction_is_judged_by_the_accepted_deviation_only() -> None:
    """One run and its closing reading: one degree of freedom, which the test itself uses up."""
    left = left_of(session(Closure(5), [0], closing=True, seed=1))
    assert generalized_esd(left).steps == ()
    assert np.flatnonzero(left.redundancy > NOT_PREDICTED).tolist() == [0, 5]
    misfit = left.residual[5] - left.residual[0]
    (step,) = generalized_esd(left, accepted=Accepted(1.0)).steps
    assert step.statistic == pytest.approx(abs(misfit) / np.sqrt(2))


def test_evidence_is_the_likelihood_ratio() -> None:
    """Known scatter: half the fall of the squares over the variance. Unknown: the power of their ratio.

    An estimate brings in its squares and degrees of freedom, rounding its variance for each of them.
    """
    assert float(Scale(9.0, 4.0, Accepted(1.5)).evidence(9.0, 2.0)) == pytest.approx(7 / 2 / 1.5**2)
    assert float(Scale(9.0, 4.0).evidence(9.0, 3.0)) == pytest.approx(2 * np.log(3))
    pooled = 12 * np.log((9.0 + 20 * 2.25) / (2.0 + 20 * 2.25))
    assert float(Scale(9.0, 4.0, Accepted(1.5, 20.0)).evidence(9.0, 2.0)) == pytest.approx(pooled)
    assert float(Scale(9.0, 4.0, least=0.5).evidence(9.0, 3.0)) == pytest.approx(2 * np.log(11 / 5))


def test_rounding_leaves_a_twelfth_of_the_squared_resolution_shared_by_the_repeats() -> None:
    """JCGM 100, F.2.2.1 (read)."""
    case = session(Closure(5), [0, 1], seed=1)
    once, fourfold = case.cells, replace(case.cells, count=np.full(10, 4))
    assert least_variance(case.closure, once, 0.3) == pytest.approx(0.3**2 / 12)
    assert least_variance(case.closure, fourfold, 0.3) == pytest.approx(0.3**2 / 48)
    assert least_variance(case.closure, once, None) < 1e-18
