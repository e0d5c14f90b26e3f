"""No digit that the input holds is lost: large constants, tiny scatter, in exact fractions.

Source: least squares in rational arithmetic (tests/solver/exact.py); recomputed.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import numpy as np
import pytest

from solver.closure import Closure
from tests.solver import exact
from tests.solver.cases import chain, session
from tests.solver.dense import Case, Floats, matrix

N = 5


def exactly(case: Case) -> tuple[list[Fraction], Any]:
    """Return parameters and cofactors in fractions; one reading a cell."""
    design = matrix(case.closure, case.offset[case.run], case.step, case.group, case.groups)
    circles = 1 if case.closure.kind == "single" else 2
    n = case.closure.positions
    means = np.zeros((circles, design.shape[1]), dtype=int)
    for circle in range(circles):
        means[circle, circle * n : (circle + 1) * n] = 1
    return exact.least_squares(design, [Fraction(y) for y in case.value.tolist()], means)


def error_of(found: Floats, expected: list[Fraction]) -> float:
    """Return the largest difference, taken exactly."""
    return max(float(abs(Fraction(a) - b)) for a, b in zip(found.tolist(), expected, strict=True))


def faint(closure: Closure, constants: list[float], slope: float = 0.0, *, closing: bool = True) -> Case:
    """Return runs whose readings differ by millionths of an arc second about huge constants."""
    case = session(closure, [0, 1, 3], closing=closing, seed=4)
    value = 1e-6 * case.value + np.array(constants)[case.run] + slope * case.step
    return case.with_values(value)


@pytest.mark.parametrize("constants", [[1e6, 1e6, 1e6], [1e6, -3e5, 0.25], [1e6, 1e-3, -1e9]])
def test_position_readings_about_large_constants(constants: list[float]) -> None:
    """Taking the base off is exact, so the errors come out to rounding of the scatter, not of the constants."""
    case = faint(Closure(N), constants)
    adjustment, (expected, _) = case.adjust(), exactly(case)
    assert adjustment.upper is not None
    smallest = 1e-6 * 1e-13 if max(map(abs, constants)) < 1e9 else 1e-6 * 1e-9
    assert error_of(adjustment.lower.position.value, expected[:N]) < smallest
    assert error_of(adjustment.upper.position.value, expected[N : 2 * N]) < smallest
    ulp = np.spacing(np.abs(constants))
    for found, true, last in zip(adjustment.constant.value.tolist(), expected[2 * N :], ulp, strict=True):
        assert float(abs(Fraction(found) - true)) <= max(last, 1e-19)


def test_linear_drift_far_larger_than_the_scatter() -> None:
    case = faint(Closure(N, drift="linear"), [1e6, -4e5, 12.0], 1e3)
    adjustment, (expected, _) = case.adjust(), exactly(case)
    assert adjustment.upper is not None
    # The readings themselves carry a drift of thousands of arc seconds: their last digit is 1e-12.
    assert error_of(adjustment.lower.position.value, expected[:N]) < 2e-12
    assert error_of(adjustment.upper.position.value, expected[N : 2 * N]) < 2e-12


def test_interval_readings_with_a_large_drift() -> None:
    case = faint(Closure(N, reading="interval", drift="linear"), [1e6, -4e5, 12.0])
    adjustment, (expected, _) = case.adjust(), exactly(case)
    assert adjustment.upper is not None
    assert error_of(adjustment.lower.position.value, expected[:N]) < 1e-18
    assert error_of(adjustment.upper.position.value, expected[N : 2 * N]) < 1e-18


def test_single_closure_with_a_reference_far_off() -> None:
    case = faint(Closure(N, kind="single", reading="interval"), [1e6, 1e6, 1e6])
    adjustment, (expected, _) = case.adjust(), exactly(case)
    assert error_of(adjustment.lower.position.value, expected[:N]) < 1e-18
    assert error_of(adjustment.reference.value, expected[N:]) <= np.spacing(1e6)


def test_a_jump_of_a_million_inside_a_run() -> None:
    """Relative to the base of the run the jump stays, and with it the last digit of a million, no more."""
    case = faint(Closure(N), [1.0, 2.0, 3.0])
    group = np.where((case.run == 1) & (case.step >= 3), 3, case.run)
    jumped = case.with_values(case.value + 1e6 * (group == 3), group=group)
    adjustment, (expected, _) = jumped.adjust(), exactly(jumped)
    assert error_of(adjustment.lower.position.value, expected[:N]) < np.spacing(1e6)
    assert error_of(adjustment.residual, residuals(jumped, expected)) < np.spacing(1e6)


def residuals(case: Case, parameters: list[Fraction]) -> list[Fraction]:
    design = matrix(case.closure, case.offset[case.run], case.step, case.group, case.groups)
    return [
        Fraction(y) - sum((int(x) * b for x, b in zip(row, parameters, strict=True) if x), Fraction(0))
        for y, row in zip(case.value.tolist(), design, strict=True)
    ]


def test_cofactors_of_a_chain_of_short_runs() -> None:
    case = chain(Closure(7, drift="linear"), 3, [0, 1], seed=1)
    adjustment, (expected, cofactor) = case.adjust(), exactly(case)
    assert adjustment.upper is not None
    assert error_of(adjustment.lower.position.value, expected[:7]) < 1e-12
    variance = [float(cofactor[i][i]) for i in range(14)]
    root = np.concatenate([adjustment.lower.position.root, adjustment.upper.position.root])
    np.testing.assert_allclose(root**2, variance, rtol=1e-12)
