"""The parts of a result hold together: adjusted value, residual, prediction; what a model lacks is empty.

Source: the definitions in section 1 of the design document (residual = reading minus adjusted value).
"""

from __future__ import annotations

import numpy as np
import pytest

from tests.solver.cases import KINDS, random_case


@pytest.mark.parametrize("seed", range(18))
def test_adjusted_value_and_residual_make_the_cell_and_the_prediction_is_the_adjusted_value(
    seed: int,
) -> None:
    case = random_case(seed + 900, KINDS[seed % len(KINDS)])
    cells, adjustment = case.cells, case.adjust()
    value = cells.value + cells.base[cells.run]
    np.testing.assert_allclose(adjustment.fitted + adjustment.residual, value, atol=1e-9)
    found = adjustment.predict(case.offset[cells.run], cells.step, case.cell_group)
    np.testing.assert_allclose(found.value, adjustment.fitted, atol=1e-9)
    np.testing.assert_allclose(found.root**2, adjustment.leverage, atol=1e-9)


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: "-".join(map(str, kind.values())))
def test_the_reference_angle_is_there_for_a_single_closure_only(kind: dict[str, object]) -> None:
    adjustment = random_case(4, kind).adjust()
    single = kind["kind"] == "single"
    assert len(adjustment.reference.value) == len(adjustment.reference.root) == int(single)
    assert (adjustment.upper is None) == single
