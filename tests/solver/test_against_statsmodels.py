"""The adjustment against ordinary least squares of statsmodels, on a design with one error of each circle left out.

With the error of position 0 of each circle set to zero the design has full rank, and its coefficients are the errors
from the first position. Source: statsmodels; recomputed.
"""

from __future__ import annotations

import numpy as np
import pytest
import statsmodels.api as sm  # type: ignore[import-untyped]

from solver.closure import Closure
from tests.solver.cases import session, without
from tests.solver.dense import Case, matrix

SESSIONS = {
    "complete": session(Closure(6), list(range(6)), seed=1),
    "partial with closing readings": session(Closure(12), [0, 1, 4], closing=True, seed=2),
    "linear drift": session(Closure(7, drift="linear"), [0, 1, 3, 3], closing=True, seed=3),
    "face by face, polarity -1": session(
        Closure(8, arrangement="face by face", polarity=-1), [0, 3, 5], closing=True, seed=4
    ),
    "interval": session(Closure(9, reading="interval"), [0, 1, 5], seed=5),
    "interval with drift": session(Closure(5, reading="interval", drift="linear"), [0, 1, 2, 3, 4], seed=6),
    "single": session(Closure(8, kind="single", reading="interval", polarity=-1), [0, 0, 0], seed=7),
}
WHOLE = SESSIONS["complete"]
SESSIONS["cells missing"] = without(WHOLE, np.isin(np.arange(WHOLE.run.size), [0, 9, 17, 30]))


@pytest.mark.parametrize("case", SESSIONS.values(), ids=SESSIONS)
def test_values_errors_residuals_and_leverages(case: Case) -> None:
    cells, closure = case.cells, case.closure
    n = closure.positions
    circles = 1 if closure.kind == "single" else 2
    design = matrix(closure, case.offset[cells.run], cells.step, case.cell_group, case.groups)
    left_out = [circle * n for circle in range(circles)]
    value = cells.value + cells.base[cells.run]
    result = sm.OLS(value, np.delete(design, left_out, axis=1)).fit()
    adjustment = case.adjust()

    for circle, errors in enumerate([adjustment.lower, adjustment.upper][:circles]):
        assert errors is not None
        here = slice(circle * (n - 1), (circle + 1) * (n - 1))
        np.testing.assert_allclose(errors.from_first.value[1:], result.params[here], atol=1e-12)
        uncertainty = errors.from_first.root[1:] * adjustment.standard_deviation
        np.testing.assert_allclose(uncertainty, result.bse[here], rtol=1e-10)
    np.testing.assert_allclose(adjustment.residual, result.resid, atol=1e-12)
    np.testing.assert_allclose(adjustment.leverage, result.get_influence().hat_matrix_diag, atol=1e-12)
    assert adjustment.degrees_of_freedom == result.df_resid
    assert adjustment.standard_deviation == pytest.approx(np.sqrt(result.mse_resid), rel=1e-12)
    if circles == 1:
        assert adjustment.reference.value[0] == pytest.approx(result.params[-1], abs=1e-12)


def test_prediction_of_a_cell_that_was_never_read() -> None:
    whole = session(Closure(7), [0, 1, 3], closing=True, seed=8)
    gone = (whole.run == 1) & (whole.step == 4)
    case = without(whole, gone)
    cells, groups = case.cells, case.groups
    design = matrix(case.closure, case.offset[cells.run], cells.step, cells.run, groups)
    new = matrix(case.closure, [1], [4], [1], groups)
    keep = np.delete(np.arange(design.shape[1]), [0, 7])
    result = sm.OLS(cells.value + cells.base[cells.run], design[:, keep]).fit()
    expected = result.get_prediction(new[:, keep])
    adjustment = case.adjust()
    found = adjustment.predict(np.array([1]), np.array([4]), np.array([1]))
    np.testing.assert_allclose(found.value, expected.predicted_mean, atol=1e-12)
    np.testing.assert_allclose(found.root * adjustment.standard_deviation, expected.se_mean, rtol=1e-10)
    scatter = adjustment.standard_deviation * np.sqrt(1 + found.root**2)
    np.testing.assert_allclose(scatter, expected.se_obs, rtol=1e-10)
