"""A cyclic Latin square of 5 is a complete dual closure by "position".

Source: Montgomery, Design and Analysis of Experiments, the rocket-propellant example, data read in two course copies;
effects and analysis of variance recomputed with statsmodels. Missing plot: the formula of Allan and Wishart (1930),
[n (R + C + T) - 2 G]/((n - 1)(n - 2)); recomputed.
"""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest

from solver.adjust import adjust
from solver.cells import gather
from solver.closure import Closure

N = 5
with (Path(__file__).parent / "latin_square_5x5.csv").open(encoding="utf-8", newline="") as file:
    TABLE = list(csv.DictReader(file))
ROW = np.array([int(line["row"]) - 1 for line in TABLE])
COLUMN = np.array([int(line["col"]) - 1 for line in TABLE])
TREATMENT = np.array(["ABCDE".index(line["treatment"]) for line in TABLE])
VALUE = np.array([float(line["y"]) for line in TABLE])

ROWS = [-3.2, 1.4, 0.6, 0.2, 1.0]
COLUMNS = [-4.0, 3.2, -1.2, 0.6, 1.4]
TREATMENTS = [3.2, -5.2, -3.0, 4.4, 0.6]

#: Row is the lower position (the step), column the upper position, treatment the offset.
CLOSURE = Closure(N)


def test_treatment_is_row_plus_column() -> None:
    assert (TREATMENT == (ROW + COLUMN) % N).all()
    assert (CLOSURE.upper(TREATMENT, ROW) == COLUMN).all()


def test_effects_and_their_uncertainties() -> None:
    adjustment = adjust(CLOSURE, np.arange(N), gather(TREATMENT, ROW, VALUE))
    assert adjustment.upper is not None
    np.testing.assert_allclose(adjustment.lower.position.value, ROWS, atol=1e-12)
    np.testing.assert_allclose(adjustment.upper.position.value, COLUMNS, atol=1e-12)
    np.testing.assert_allclose(adjustment.constant.value - 25.4, TREATMENTS, atol=1e-12)
    assert adjustment.residual @ adjustment.residual == pytest.approx(128)
    assert adjustment.degrees_of_freedom == 12
    deviation = adjustment.standard_deviation
    assert deviation == pytest.approx(3.265986, abs=5e-7)
    for circle in (adjustment.lower, adjustment.upper):
        np.testing.assert_allclose(circle.position.root * deviation, 1.306395, atol=5e-7)
        np.testing.assert_allclose(circle.from_first.root[1:] * deviation, 2.065591, atol=5e-7)
        np.testing.assert_allclose(circle.interval.root * deviation, 2.065591, atol=5e-7)


def test_sums_of_squares() -> None:
    adjustment = adjust(CLOSURE, np.arange(N), gather(TREATMENT, ROW, VALUE))
    assert adjustment.upper is not None
    assert N * np.sum(adjustment.lower.position.value**2) == pytest.approx(68)
    assert N * np.sum(adjustment.upper.position.value**2) == pytest.approx(150)
    assert N * np.sum((adjustment.constant.value - adjustment.constant.value.mean()) ** 2) == pytest.approx(
        330
    )


@pytest.mark.parametrize(
    ("step", "upper", "offset"), [("row", "col", "treatment"), ("col", "row", "treatment")]
)
def test_rows_and_columns_may_change_places(step: str, upper: str, offset: str) -> None:
    part = {"row": ROW, "col": COLUMN, "treatment": TREATMENT}
    effects = {"row": ROWS, "col": COLUMNS}
    adjustment = adjust(CLOSURE, np.arange(N), gather(part[offset], part[step], VALUE))
    assert adjustment.upper is not None
    np.testing.assert_allclose(adjustment.lower.position.value, effects[step], atol=1e-12)
    np.testing.assert_allclose(adjustment.upper.position.value, effects[upper], atol=1e-12)


def test_columns_as_runs_face_by_face() -> None:
    """With treatment = upper position and column = offset, offset + step = upper position: face by face."""
    closure = Closure(N, arrangement="face by face")
    adjustment = adjust(closure, np.arange(N), gather(COLUMN, ROW, VALUE))
    assert adjustment.upper is not None
    np.testing.assert_allclose(adjustment.lower.position.value, ROWS, atol=1e-12)
    np.testing.assert_allclose(adjustment.upper.position.value, -np.array(TREATMENTS), atol=1e-12)
    np.testing.assert_allclose(adjustment.constant.value - 25.4, COLUMNS, atol=1e-12)


def test_a_missing_cell_is_predicted() -> None:
    keep = ~((ROW == 2) & (COLUMN == 1))
    assert VALUE[~keep].tolist() == [38.0]
    adjustment = adjust(CLOSURE, np.arange(N), gather(TREATMENT[keep], ROW[keep], VALUE[keep]))
    assert adjustment.determined
    assert adjustment.degrees_of_freedom == 11
    assert adjustment.residual @ adjustment.residual == pytest.approx(87.666667, abs=5e-7)
    run = TREATMENT[~keep]
    predicted = adjustment.predict(run, ROW[~keep], run)
    assert predicted.value[0] == pytest.approx(28.833333, abs=5e-7)
    total = VALUE[keep].sum()
    sums = [VALUE[keep & (part == part[~keep][0])].sum() for part in (ROW, COLUMN, TREATMENT)]
    formula = (N * sum(sums) - 2 * total) / ((N - 1) * (N - 2))
    assert predicted.value[0] == pytest.approx(formula, rel=1e-13)
