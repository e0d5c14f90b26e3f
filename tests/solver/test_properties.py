"""What must not matter, does not; what must change, changes as it must."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from solver.adjust import Adjustment
from solver.circle import Circle
from solver.closure import Closure
from tests.solver.cases import KINDS, random_case, session, without
from tests.solver.dense import Case, Floats

SEEDS = st.integers(0, 10_000)
kinds = st.sampled_from(KINDS)
dual = st.sampled_from(KINDS[:-2])
by_position = st.sampled_from([kind for kind in KINDS if kind["reading"] == "position"])
often = settings(max_examples=40, deadline=None, derandomize=True)


def close(found: Floats, expected: Floats, scale: float = 1.0) -> None:
    np.testing.assert_allclose(found, expected, rtol=1e-8, atol=1e-8 * scale)


def circles(adjustment: Adjustment) -> list[Circle]:
    return [circle for circle in (adjustment.lower, adjustment.upper) if circle is not None]


def same_circles(found: Adjustment, expected: Adjustment, factor: float = 1.0) -> None:
    for a, b in zip(circles(found), circles(expected), strict=True):
        for name in ("position", "from_first", "interval"):
            close(getattr(a, name).value, factor * getattr(b, name).value, abs(factor))
            close(getattr(a, name).root, getattr(b, name).root)


@often
@given(SEEDS, by_position, st.floats(-1e3, 1e3))
def test_a_constant_added_to_a_run_changes_its_constant_only(seed: int, kind: Any, added: float) -> None:
    case = random_case(seed, kind)
    before = case.adjust()
    after = case.with_values(case.value + added * (case.group == 0)).adjust()
    same_circles(after, before)
    close(after.residual, before.residual)
    close(after.constant.value[0], before.constant.value[0] + added)
    close(after.constant.value[1:], before.constant.value[1:])


@often
@given(SEEDS, kinds)
def test_reversed_polarity_with_negated_readings(seed: int, kind: Any) -> None:
    case = random_case(seed, kind)
    before = case.adjust()
    after = case.with_values(
        -case.value, closure=replace(case.closure, polarity=-case.closure.polarity)
    ).adjust()
    same_circles(after, before)
    close(after.residual, -before.residual)
    close(after.constant.value, -before.constant.value)
    close(after.drift.value, -before.drift.value)
    close(after.reference.value, before.reference.value)


@often
@given(SEEDS, kinds)
def test_errors_of_a_circle_sum_to_zero(seed: int, kind: Any) -> None:
    for circle in circles(random_case(seed, kind).adjust()):
        for values in (circle.position, circle.interval):
            if values.determined:
                assert abs(values.value.sum()) < 1e-10 * (1 + np.abs(values.value).max())


@often
@given(SEEDS, kinds, st.randoms(use_true_random=False))
def test_the_order_of_readings_is_irrelevant(seed: int, kind: Any, random: Any) -> None:
    case = random_case(seed, kind)
    order = list(range(case.run.size))
    random.shuffle(order)
    again = Case(
        case.closure, case.offset, case.run[order], case.step[order], case.value[order], case.group[order]
    )
    before, after = case.adjust(), again.adjust()
    same_circles(after, before)
    close(after.residual, before.residual)
    close(np.array(again.cells.repeatability), np.array(case.cells.repeatability))


@often
@given(SEEDS, kinds, st.data())
def test_repeats_with_the_same_mean_change_repeatability_only(seed: int, kind: Any, data: Any) -> None:
    case = random_case(seed, kind)
    if not case.run.size:
        return
    at = data.draw(st.integers(0, case.run.size - 1))
    cells = case.cells
    here = (cells.run == case.run[at]) & (cells.step == case.step[at])
    mean = float((cells.value + cells.base[cells.run])[here][0])
    twice = Case(
        case.closure,
        case.offset,
        np.append(case.run, [case.run[at]] * 2),
        np.append(case.step, [case.step[at]] * 2),
        np.append(case.value, [mean - 0.3, mean + 0.3]),
        np.append(case.group, [case.group[at]] * 2),
    )
    before, after = case.adjust(), twice.adjust()
    same_circles(after, before)
    close(after.residual, before.residual)
    assert after.degrees_of_freedom == before.degrees_of_freedom
    assert twice.cells.repeatability[1] == cells.repeatability[1] + 2
    close(twice.cells.squares.sum(), cells.squares.sum() + 0.18)


@often
@given(SEEDS, kinds, st.floats(-100, 100).filter(lambda factor: abs(factor) > 0.01))
def test_scaling_the_readings_scales_the_errors(seed: int, kind: Any, factor: float) -> None:
    case = random_case(seed, kind)
    before, after = case.adjust(), case.with_values(factor * case.value).adjust()
    same_circles(after, before, factor)
    close(after.residual, factor * before.residual, abs(factor))
    deviation = np.array([after.standard_deviation, abs(factor) * before.standard_deviation])
    close(deviation[0], deviation[1], abs(factor))
    close(after.leverage, before.leverage)


@often
@given(st.integers(2, 9), dual, st.data())
def test_renumbering_the_upper_circle_shifts_its_errors(n: int, kind: Any, data: Any) -> None:
    """Offsets all raised by h compare the same lower positions with upper ones numbered h higher."""
    offsets = data.draw(st.lists(st.integers(0, n - 1), min_size=2, max_size=n))
    shift = data.draw(st.integers(0, n - 1))
    case = session(Closure(n, **kind), offsets, closing=True, seed=n)
    before = case.adjust()
    after = case.with_values(case.value, offset=(case.offset + shift) % n).adjust()
    assert before.upper is not None
    assert after.upper is not None
    close(after.lower.position.value, before.lower.position.value)
    close(after.upper.position.value, np.roll(before.upper.position.value, shift))
    close(after.upper.interval.value, np.roll(before.upper.interval.value, shift))
    close(after.upper.interval.root, np.roll(before.upper.interval.root, shift))


@often
@given(st.integers(2, 9), by_position, st.data())
def test_starting_elsewhere_rotates_the_lower_errors(n: int, kind: Any, data: Any) -> None:
    """Complete runs without drift, begun h steps later on the lower circle at the same pairs of positions."""
    offsets = data.draw(st.lists(st.integers(0, n - 1), min_size=2, max_size=n))
    shift = data.draw(st.integers(0, n - 1))
    closure = Closure(n, **{**kind, "drift": "none"})
    case = session(closure, offsets, seed=n)
    turn = -1 if closure.arrangement == "counter-rotating" else 1
    before = case.adjust()
    after = case.with_values(
        case.value, step=(case.step + shift) % n, offset=(case.offset - turn * shift) % n
    ).adjust()
    assert before.upper is not None
    assert after.upper is not None
    close(after.lower.position.value, np.roll(before.lower.position.value, shift))
    close(after.upper.position.value, before.upper.position.value)


@often
@given(SEEDS, kinds, st.data())
def test_a_prediction_is_what_the_cell_adds_nothing_to(seed: int, kind: Any, data: Any) -> None:
    """A cell filled with its prediction changes no error, and its deleted residual is residual over 1 - leverage."""
    case = random_case(seed, kind)
    if not case.run.size:
        return
    cells, at = case.cells, data.draw(st.integers(0, len(case.cells) - 1))
    place = (case.run == cells.run[at]) & (case.step == cells.step[at])
    rest = without(case, place).adjust()
    where = (case.offset[cells.run[[at]]], cells.step[[at]], case.cell_group[[at]])
    predicted = rest.predict(*where)
    whole = case.adjust()
    if np.isnan(predicted.value[0]):
        assert whole.leverage[at] > 1 - 1e-8
        return
    read = cells.value[at] + cells.base[cells.run[at]]
    close(read - predicted.value[0], whole.residual[at] / (1 - whole.leverage[at]))
    close(1 + predicted.root[0] ** 2, 1 / (1 - whole.leverage[at]))


@often
@given(SEEDS, kinds)
def test_unexplained_is_the_residual_of_other_readings(seed: int, kind: Any) -> None:
    case = random_case(seed, kind)
    adjustment, cells = case.adjust(), case.cells
    close(adjustment.unexplained(cells.value + cells.base[cells.run]), adjustment.residual, 100)
    if len(cells):
        unit = np.zeros(len(cells))
        unit[0] = 1.0
        column = adjustment.unexplained(unit)
        close(column[0], 1 - adjustment.leverage[0])
        close(column @ column, 1 - adjustment.leverage[0])
