"""Sets that determine the circles only just, told from sets that do not.

The eigenvalues of a chain of short runs fall with the sixth power of its length: at 120 positions the smallest is
5e-11 of the largest, and no threshold on the normal matrix would tell it from rounding on longer circles.

Source: exact ranks (tests/solver/exact.py), the dense solution by singular values, the formula for partial closures
of the design document, section 2; recomputed.
"""

from __future__ import annotations

import numpy as np
import pytest

from solver.closure import Closure
from tests.solver.cases import chain, session
from tests.solver.dense import Case, Dense
from tests.solver.test_determined import check_exactly
from tests.solver.test_variance_table import partial_factor

CHAINS = {
    "pairs": (Closure(60), 2),
    "threes with drift": (Closure(60, drift="linear"), 3),
    "threes with drift, face by face": (Closure(40, drift="linear", arrangement="face by face"), 3),
    "pairs of intervals with drift": (Closure(60, reading="interval", drift="linear"), 2),
    "half runs with drift": (Closure(24, drift="linear"), 12),
}


@pytest.mark.parametrize("gap", [None, 11])
@pytest.mark.parametrize(("closure", "width"), CHAINS.values(), ids=CHAINS)
def test_chains_are_known_exactly_as_far_as_they_hang_together(
    closure: Closure, width: int, gap: int | None
) -> None:
    check_exactly(chain(closure, width, [0, 1], gap=gap))


@pytest.mark.parametrize(("n", "rounding"), [(120, 1e-11), (240, 1e-10)])
def test_a_long_chain_keeps_its_rank(n: int, rounding: float) -> None:
    """With no degree of freedom the residuals are nothing but rounding, and each cell has all of its weight."""
    case = chain(Closure(n, drift="linear"), 3, [0, 1])
    adjustment = case.adjust()
    groups = 2 * (n - 1)
    assert adjustment.rank == 2 * groups + 2 * n - 2
    assert adjustment.degrees_of_freedom == 0
    assert adjustment.determined
    np.testing.assert_allclose(adjustment.leverage, 1.0, rtol=0, atol=3 * rounding)
    assert np.abs(adjustment.residual).max() < rounding
    cofactor, unit = adjustment.cofactor, np.eye(2 * n)[:, ::7]
    assert cofactor.weak.size
    expected = cofactor.times(unit)
    np.testing.assert_allclose(cofactor.matrix @ unit, expected, atol=1e-9 * np.abs(expected).max())
    broken = chain(Closure(n, drift="linear"), 3, [0, 1], gap=n // 2).adjust()
    assert broken.missing == 1


def check_against_dense(case: Case) -> None:
    adjustment, dense, n = case.adjust(), Dense.of(case), case.closure.positions
    assert adjustment.upper is not None
    for circle, start in ((adjustment.lower, 0), (adjustment.upper, n)):
        for name, (value, root) in dense.circle(start).items():
            found = getattr(circle, name)
            np.testing.assert_allclose(found.value, value, rtol=0, atol=1e-9 * np.abs(value).max())
            np.testing.assert_allclose(found.root, root, rtol=1e-9)
    np.testing.assert_allclose(adjustment.leverage, dense.leverage, atol=1e-9)
    assert adjustment.rank == dense.rank


@pytest.mark.parametrize(("closure", "width"), CHAINS.values(), ids=CHAINS)
def test_values_and_roots_of_chains(closure: Closure, width: int) -> None:
    check_against_dense(chain(closure, width, [0, 1]))


@pytest.mark.parametrize("arrangement", ["counter-rotating", "face by face"])
def test_two_neighbouring_offsets_with_drift_and_closing_readings(arrangement: str) -> None:
    closure = Closure(120, drift="linear", arrangement=arrangement)  # type: ignore[arg-type]
    check_against_dense(session(closure, [0, 1], closing=True))


@pytest.mark.parametrize("offsets", [[0, 1], [0, 1, 2], [0, 179, 180]])
def test_neighbouring_offsets_of_a_fine_circle(offsets: list[int]) -> None:
    adjustment = session(Closure(360), offsets).adjust()
    assert adjustment.determined
    assert np.mean(adjustment.lower.position.root**2) == pytest.approx(partial_factor(360, offsets), rel=1e-9)
    assert adjustment.rank == 2 * 360 - 2 + len(offsets)


def test_a_few_closing_readings_are_enough_for_linear_drift() -> None:
    """One closing reading in twelve ties the sawtooth down; none leaves it loose."""
    closure = Closure(24, drift="linear")
    whole = session(closure, list(range(24)), closing=True)
    keep = (whole.step < 24) | (whole.run == 7)
    one = Case(closure, whole.offset, whole.run[keep], whole.step[keep], whole.value[keep], whole.run[keep])
    check_exactly(one)
    check_against_dense(one)
