"""Readings gathered into cells."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from solver.adjust import adjust
from solver.cells import Cells, gather
from solver.closure import Closure
from solver.refused import Refused

RUN = np.array([1, 0, 1, 1, 0, 1])
STEP = np.array([0, 2, 3, 0, 2, 0])
VALUE = np.array([5.0, 1.0, 7.0, 5.3, 1.4, 5.6])


def test_means_counts_and_squares() -> None:
    cells = gather(RUN, STEP, VALUE, runs=3)
    assert cells.run.tolist() == [0, 1, 1]
    assert cells.step.tolist() == [2, 0, 3]
    assert cells.count.tolist() == [2, 3, 1]
    np.testing.assert_allclose(cells.value + cells.base[cells.run], [1.2, 5.3, 7.0])
    np.testing.assert_allclose(cells.squares, [0.08, 0.18, 0.0], atol=1e-15)
    assert len(cells.base) == 3
    assert len(gather(RUN, STEP, VALUE).base) == 2


def test_repeatability_pools_the_cells() -> None:
    deviation, freedom = gather(RUN, STEP, VALUE).repeatability
    assert freedom == 3
    assert deviation == pytest.approx(np.sqrt(0.26 / 3))


def test_no_repeats_no_repeatability() -> None:
    deviation, freedom = gather(RUN[:3], STEP[:3], VALUE[:3]).repeatability
    assert freedom == 0
    assert np.isnan(deviation)


def test_a_large_constant_costs_no_digits() -> None:
    scatter = np.array([0.0, 2.0**-20, 3 * 2.0**-20])
    cells = gather(np.zeros(3, dtype=int), np.zeros(3, dtype=int), 2.0**32 + scatter)
    assert cells.squares[0] == pytest.approx(np.sum((scatter - scatter.mean()) ** 2), rel=1e-14)


def test_nothing_gathered() -> None:
    nothing = np.zeros(0, dtype=int)
    cells = gather(nothing, nothing, np.zeros(0), runs=2)
    assert len(cells) == 0
    assert cells.base.tolist() == [0, 0]
    assert len(gather(nothing, nothing, np.zeros(0)).base) == 0


def cells_of(run: int, step: int, value: float) -> Cells:
    return Cells(
        np.array([run]), np.array([step]), np.array([value]), np.ones(1, int), np.zeros(1), np.zeros(2)
    )


@pytest.mark.parametrize(
    ("closure", "cells", "what"),
    [
        (Closure(5), cells_of(2, 0, 1.0), "does not exist"),
        (Closure(5), cells_of(-1, 0, 1.0), "does not exist"),
        (Closure(5), cells_of(0, 6, 1.0), "does not exist"),
        (Closure(5, reading="interval"), cells_of(0, 0, 1.0), "does not exist"),
        (Closure(5), cells_of(1, 5, np.nan), "no finite number"),
        (Closure(5), cells_of(1, 5, np.inf), "no finite number"),
    ],
)
def test_cells_that_cannot_be_right_are_refused(closure: Closure, cells: Cells, what: str) -> None:
    with pytest.raises(Refused, match=what) as refused:
        adjust(closure, np.array([0, 1]), cells)
    assert refused.value.where == f"run {cells.run[0]}, step {cells.step[0]}"


def test_of_many_cells_the_first_that_cannot_be_right_is_named() -> None:
    good = gather(RUN, STEP, VALUE)
    cells = replace(good, value=np.array([0.0, 0.0, np.nan]))
    with pytest.raises(Refused, match="no finite number") as refused:
        adjust(Closure(5), np.array([0, 1]), cells)
    assert refused.value.where == "run 1, step 3"


@pytest.mark.parametrize(
    "kind",
    [
        {"positions": 1},
        {"positions": 4, "polarity": 0},
        {"positions": 4, "kind": "single"},
        {"positions": 4, "kind": "single", "reading": "interval", "drift": "linear"},
    ],
)
def test_models_of_no_measurement_are_refused(kind: dict[str, object]) -> None:
    with pytest.raises(Refused) as refused:
        Closure(**kind)  # type: ignore[arg-type]
    assert refused.value.remedy
