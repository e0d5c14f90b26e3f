"""What a reading is: errors put in come out, with the sign of the design document, section 2.

Source: the table of section 2, written out in tests/solver/dense.py; facts of section 2 (algebra).
"""

from __future__ import annotations

import numpy as np
import pytest

from solver.adjust import adjust
from solver.circle import Circle
from solver.closure import Closure
from tests.solver.cases import KINDS, session
from tests.solver.dense import Floats, matrix


def check_circle(circle: Circle, error: Floats) -> None:
    np.testing.assert_allclose(circle.position.value, error - error.mean(), atol=1e-12)
    np.testing.assert_allclose(circle.from_first.value, error - error[0], atol=1e-12)
    # Interval j runs from position j - 1 to j and stands at entry j - 1; the last closes the circle.
    for j in range(1, len(error) + 1):
        assert circle.interval.value[j - 1] == pytest.approx(error[j % len(error)] - error[j - 1], abs=1e-12)


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: "-".join(map(str, kind.values())))
def test_errors_put_in_come_out(kind: dict[str, object]) -> None:
    rng = np.random.default_rng(5)
    n = 9
    case = session(Closure(n, **kind), [0, 1, 5], closing=True)  # type: ignore[arg-type]
    design = matrix(case.closure, case.offset[case.run], case.step, case.run, 3)
    true: Floats = np.asarray(rng.normal(size=design.shape[1]))
    adjustment = case.with_values(design @ true).adjust()
    check_circle(adjustment.lower, true[:n])
    assert np.abs(adjustment.residual).max() < 1e-12
    if adjustment.upper is None:
        assert adjustment.reference.value[0] == pytest.approx(true[n], abs=1e-12)
        return
    check_circle(adjustment.upper, true[n : 2 * n])
    if kind["reading"] == "position":
        # The means of both circles are in the constants.
        ahead = 1 if kind["arrangement"] == "counter-rotating" else -1
        mean = true[:n].mean() + ahead * true[n : 2 * n].mean()
        expected = true[2 * n : 2 * n + 3] + case.closure.polarity * mean
        np.testing.assert_allclose(adjustment.constant.value, expected, atol=1e-12)
    if kind["drift"] == "linear":
        np.testing.assert_allclose(adjustment.drift.value, true[-3:], atol=1e-12)


@pytest.mark.parametrize("polarity", [1, -1])
def test_single_closure_calibrates_its_own_standard(polarity: int) -> None:
    case = session(Closure(7, kind="single", reading="interval", polarity=polarity), [0, 0], seed=3)
    adjustment = case.adjust()
    assert adjustment.reference.value[0] == pytest.approx(-polarity * case.value.mean(), abs=1e-14)
    assert adjustment.reference.root[0] == pytest.approx(1 / np.sqrt(14))


@pytest.mark.parametrize("polarity", [1, -1])
def test_four_readings_of_an_upper_interval_sum_to_four_times_its_error(polarity: int) -> None:
    """Four-position complete closure by "interval" (common practice, no source; the sign is that of section 2)."""
    closure = Closure(4, reading="interval", polarity=polarity)
    case = session(closure, [0, 1, 2, 3])
    design = matrix(closure, case.run, case.step, case.run, 4)
    true: Floats = np.asarray(np.random.default_rng(8).normal(size=8))
    value = design @ true
    for j in range(4):
        a = true[4 + j] - true[4 + j - 1] if j else true[4] - true[7]
        holding = (case.run - case.step + 1) % 4 == j
        assert holding.sum() == 4
        assert value[holding].sum() == pytest.approx(-polarity * 4 * a, abs=1e-13)


def test_forward_and_return_runs_of_an_offset_have_constants_of_their_own() -> None:
    case = session(Closure(6), [0, 0, 1, 1], closing=True, seed=2)
    moved = case.with_values(case.value + np.array([0.0, 7.0, 0.0, -3.0])[case.run])
    before, after = case.adjust(), moved.adjust()
    np.testing.assert_allclose(after.constant.value - before.constant.value, [0, 7, 0, -3], atol=1e-12)
    np.testing.assert_allclose(after.lower.position.value, before.lower.position.value, atol=1e-12)


def test_no_prediction_for_a_group_that_holds_no_cell() -> None:
    case = session(Closure(5), [0, 1, 3], closing=True, seed=2)
    setting = np.array([1]), np.array([2])
    assert np.isnan(case.adjust().predict(*setting, np.array([7])).value[0])
    without_constants = case.with_values(
        case.value, closure=Closure(5, reading="interval"), step=case.step % 5 + 1
    )
    adjustment = adjust(without_constants.closure, case.offset, without_constants.cells)
    expected = adjustment.predict(*setting, np.array([1]))
    np.testing.assert_array_equal(adjustment.predict(*setting, np.array([7])).value, expected.value)
    assert np.isfinite(expected.value[0])


def test_a_split_run_has_two_constants() -> None:
    """A jump of the mirror between steps 3 and 4 is swallowed by the constant of the second part."""
    case = session(Closure(8), [0, 1, 3], closing=True, seed=2)
    group = np.where((case.run == 1) & (case.step >= 4), 3, case.run)
    split = case.with_values(case.value, group=group)
    jumped = case.with_values(case.value + 50.0 * (group == 3), group=group)
    np.testing.assert_allclose(jumped.adjust().residual, split.adjust().residual, atol=1e-11)
    assert split.adjust().rank == case.adjust().rank + 1
    constant = jumped.adjust().constant.value - split.adjust().constant.value
    np.testing.assert_allclose(constant, [0, 0, 0, 50], atol=1e-11)
