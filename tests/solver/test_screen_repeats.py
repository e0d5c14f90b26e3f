"""Repeats within cells, and cells' spreads against each other."""

from __future__ import annotations

import numpy as np
import pytest

from solver.adjust import adjust
from solver.cells import gather
from solver.closure import Closure
from solver.deleted import Accepted
from solver.flags import Flag, Limits, Readings
from solver.screen import screen
from solver.within import disagreeing


def cells(count: int, size: int, seed: int = 1) -> tuple[np.ndarray, np.ndarray]:
    return np.repeat(np.arange(count), size), np.random.default_rng(seed).normal(size=count * size)


def test_a_pair_is_judged_by_the_accepted_deviation_at_once() -> None:
    cell = np.array([0, 0])
    assert disagreeing(cell, np.array([0.0, 3.0]), 1, 0.05, Accepted(1.0)) == []
    (found,) = disagreeing(cell, np.array([0.0, 6.0]), 1, 0.05, Accepted(1.0))
    assert (found.cell, found.test, found.statistic) == (0, "range", 6.0)


def test_a_pair_alone_without_accepted_deviation_has_no_verdict() -> None:
    assert disagreeing(np.array([0, 0]), np.array([0.0, 6.0]), 1, 0.05) == []


@pytest.mark.parametrize("size", [2, 3, 5])
def test_a_bad_reading_does_not_excuse_itself(size: int) -> None:
    cell, value = cells(20, size)
    value[3 * size] += 12
    assert [found.cell for found in disagreeing(cell, value, 20, 0.05)] == [3]


def test_grubbs_names_the_reading() -> None:
    cell = np.zeros(6, dtype=int)
    (found,) = disagreeing(cell, np.array([0.1, 0.2, 0.15, 9.0, 0.12, 0.18]), 1, 0.05)
    assert (found.test, found.reading) == ("grubbs", 3)


def test_a_wide_spread_without_an_outlier() -> None:
    cell, value = cells(20, 4)
    here = cell == 7
    value[here] = [-6, 6, -6, 6]
    (found,) = disagreeing(cell, value, 20, 0.05, Accepted(4.0))
    assert (found.cell, found.test) == (7, "cochran")


def test_unequal_numbers_of_repeats() -> None:
    cell = np.concatenate([np.repeat(np.arange(15), 2), np.repeat(np.arange(15, 25), 4), [25, 26]])
    value = np.random.default_rng(2).normal(size=len(cell))
    value[cell == 20] += [0, 0, 0, 14]
    assert [found.cell for found in disagreeing(cell, value, 27, 0.05)] == [20]


def test_one_digit_more_is_no_outlier_among_readings_rounded_alike() -> None:
    """Scatter far below the resolution 0.1: all repeats agree, but for one last digit here and there."""
    cell, value = cells(30, 3)
    value = np.zeros_like(value)
    value[10] = 0.1
    assert disagreeing(cell, value, 30, 0.05, least=0.1**2 / 12) == []
    value[10] = 0.5
    assert [found.cell for found in disagreeing(cell, value, 30, 0.05, least=0.1**2 / 12)] == [3]


@pytest.mark.parametrize("accepted", [None, Accepted(1.0)])
@pytest.mark.parametrize("size", [2, 4])
def test_false_alarms_stay_below_the_level(accepted: Accepted | None, size: int) -> None:
    alarms = sum(bool(disagreeing(*cells(30, size, seed), 30, 0.05, accepted)) for seed in range(400))
    assert alarms < 0.08 * 400


def three_each(last: tuple[float, float, float]) -> tuple[Flag, ...]:
    """Screen four cells of three readings, the last one given; nothing is predicted by other cells."""
    typed = np.array([(1.00, 1.02, 0.99), (0.62, 0.61, 0.64), (1.47, 1.45, 1.46), last])
    run, step = np.zeros(12, dtype=int), np.repeat(np.arange(4), 3)
    taken = gather(run, step, typed.ravel(), runs=2)
    readings = Readings(run, step, typed.ravel(), np.arange(1, 13), np.zeros(12, dtype=bool))
    offset = np.array([0, 1])
    return screen(adjust(Closure(4), offset, taken), offset, taken, readings, Limits(resolution=0.01)).flags


def test_one_of_three_is_judged_by_the_other_two_and_the_scatter_of_the_other_cells() -> None:
    """Predicted by the mean of the two; its deviation from the pooled variance of the three other cells (numpy)."""
    (flag,) = three_each((0.85, 2.87, 0.84))
    pooled = np.mean(
        [np.var(cell, ddof=1) for cell in ((1.00, 1.02, 0.99), (0.62, 0.61, 0.64), (1.47, 1.45, 1.46))]
    )
    assert (flag.test, flag.entry, flag.value) == ("repeats", 11, 2.87)
    assert flag.predicted == pytest.approx(0.845)
    assert flag.deviation == pytest.approx(np.sqrt(pooled * (1 + 1 / 2)))
    assert flag.others == ()


def test_where_the_other_two_disagree_as_well_it_is_the_whole_cell() -> None:
    (flag,) = three_each((0.85, 2.87, 1.84))
    assert (flag.test, flag.step, flag.predicted, flag.suggestion) == ("spread", 3, None, None)
    assert flag.value == pytest.approx(np.std([0.85, 2.87, 1.84], ddof=1))
