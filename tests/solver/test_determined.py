"""Which values are determined, value by value, against exact arithmetic.

Source: ranks and null spaces modulo a prime (tests/solver/exact.py); recomputed.
"""

from __future__ import annotations

from math import gcd

import numpy as np
import pytest

from solver.closure import Closure
from tests.solver import exact
from tests.solver.cases import KINDS, random_case, session, without
from tests.solver.dense import Case, matrix


def check_exactly(case: Case) -> None:
    """The rank, and which errors are known, as exact arithmetic has them."""
    cells, n = case.cells, case.closure.positions
    design = matrix(case.closure, case.offset[cells.run], cells.step, case.cell_group, case.groups)
    columns = design.shape[1]
    circles = 1 if case.closure.kind == "single" else 2
    means = np.zeros((circles, columns))
    for circle in range(circles):
        means[circle, circle * n : (circle + 1) * n] = 1
    basis = exact.null_space(np.vstack([design, means]))
    adjustment = case.adjust()
    assert adjustment.rank == columns - circles - basis.shape[1]
    unit = np.eye(columns, dtype=int)
    for circle, errors in enumerate([adjustment.lower, adjustment.upper][:circles]):
        assert errors is not None
        each = unit[circle * n : (circle + 1) * n]
        rows = {"position": each, "from_first": each - each[0], "interval": np.roll(each, -1, axis=0) - each}
        for name, functions in rows.items():
            known = np.isfinite(getattr(errors, name).value)
            assert (known == exact.determined(functions, basis)).all(), name


@pytest.mark.parametrize("seed", range(300, 330))
def test_random_sessions(seed: int) -> None:
    check_exactly(random_case(seed, KINDS[seed % len(KINDS)]))


@pytest.mark.parametrize("n", [2, 3, 6, 9, 12])
@pytest.mark.parametrize("reading", ["position", "interval"])
def test_two_offsets_determine_the_circles_when_prime_to_n(n: int, reading: str) -> None:
    closure = Closure(n, reading=reading)  # type: ignore[arg-type]
    for first in range(n):
        for second in range(n):
            adjustment = session(closure, [first, second]).adjust()
            assert adjustment.determined == (gcd(first - second, n) == 1)
            if adjustment.determined and reading == "position":
                assert adjustment.degrees_of_freedom == 0


@pytest.mark.parametrize("kind", KINDS[:-2], ids=lambda kind: "-".join(map(str, kind.values())))
def test_one_offset_alone_determines_nothing(kind: dict[str, object]) -> None:
    adjustment = session(Closure(7, **kind), [3, 3], closing=True).adjust()  # type: ignore[arg-type]
    assert adjustment.upper is not None
    for circle in (adjustment.lower, adjustment.upper):
        assert np.isnan(circle.position.value).all()
        assert np.isnan(circle.interval.value).all()
        assert np.isnan(circle.from_first.value[1:]).all()
    assert adjustment.missing == 6


def test_a_common_factor_leaves_what_it_leaves() -> None:
    """Even offsets of an even circle: errors of the even positions against each other are known, no others."""
    case = session(Closure(8), [0, 2, 4, 6])
    check_exactly(case)
    adjustment = case.adjust()
    assert adjustment.missing == 1
    known = np.isfinite(adjustment.lower.from_first.value)
    assert known.tolist() == [True, False] * 4
    assert np.isnan(adjustment.lower.position.value).all()


@pytest.mark.parametrize("arrangement", ["counter-rotating", "face by face"])
@pytest.mark.parametrize("n", [6, 7])
def test_linear_drift_without_closing_readings_leaves_one_direction(n: int, arrangement: str) -> None:
    """An error of the lower circle that grows with the steps looks like drift; the upper one stays determined."""
    closure = Closure(n, drift="linear", arrangement=arrangement)  # type: ignore[arg-type]
    case = session(closure, list(range(n)))
    check_exactly(case)
    adjustment = case.adjust()
    assert adjustment.upper is not None
    assert adjustment.missing == 1
    assert adjustment.upper.position.determined
    assert np.isnan(adjustment.lower.interval.value).all()
    assert np.isnan(adjustment.drift.value).all()
    # The sawtooth crosses zero at the middle of an odd circle, and only there.
    assert np.flatnonzero(np.isfinite(adjustment.lower.position.value)).tolist() == (
        [n // 2] if n % 2 else []
    )
    assert session(closure, list(range(n)), closing=True).adjust().determined


def test_linear_drift_with_only_two_offsets_leaves_two() -> None:
    """Then even an error that grows with the square of the steps looks like drift."""
    case = session(Closure(9, drift="linear"), [0, 1])
    check_exactly(case)
    assert case.adjust().missing == 2
    closed = session(Closure(9, drift="linear"), [0, 1], closing=True).adjust()
    assert closed.determined
    assert closed.degrees_of_freedom == 0


def test_a_position_never_read_spoils_the_mean_of_its_circle_only() -> None:
    whole = session(Closure(8), list(range(8)))
    case = without(whole, whole.step == 5)
    check_exactly(case)
    adjustment = case.adjust()
    assert adjustment.upper is not None
    assert adjustment.upper.position.determined
    assert np.isnan(adjustment.lower.position.value).all()
    assert np.flatnonzero(np.isnan(adjustment.lower.interval.value)).tolist() == [4, 5]


def test_single_closure_with_an_interval_never_read() -> None:
    closure = Closure(6, kind="single", reading="interval")
    whole = session(closure, [0, 0])
    case = without(whole, whole.step == 2)
    check_exactly(case)
    adjustment = case.adjust()
    assert np.isnan(adjustment.lower.interval.value).all()
    assert np.isnan(adjustment.reference.value).all()
    assert adjustment.degrees_of_freedom == 5
