"""Runs over arcs planned: variances, what stays open, and the offsets proposed."""

from __future__ import annotations

import numpy as np
import pytest

from solver.adjust import adjust
from solver.arc_plan import arc_outlook, common_factor, every_cell, propose
from solver.cells import gather
from solver.closure import Arrangement, Closure
from solver.refused import Refused
from solver.runs import Runs, arcs

COARSE = np.array([0, 1, 4])


def plan(closure: Closure, starts: list[int], offsets: tuple[int, ...]) -> Runs:
    start = np.repeat(starts, len(offsets)) * closure.subdivision
    return Runs.of(closure, COARSE).join(arcs(closure, start, np.tile(offsets, len(starts))))


def test_the_trial_of_one_arc() -> None:
    """225 readings, closing readings round the circle only: worst variance 0.83 (recomputed)."""
    closure = Closure(12, subdivision=30)
    runs = plan(closure, [0], (0, 1, 4, 10, 18, 30))
    cells = every_cell(runs, closing=True)
    kept = (cells.run < 3) | (cells.step <= 30)
    cells = gather(cells.run[kept], cells.step[kept], np.zeros(int(kept.sum())), runs=len(runs))
    assert len(cells) == 225
    measured = adjust(closure, runs, cells).measured("lower")
    inside = (measured.at > 0) & (measured.at < 30)
    assert np.max(measured.from_first.root[inside] ** 2) == pytest.approx(0.827, abs=5e-4)
    # Closing readings over the arcs can only help.
    assert arc_outlook(closure, runs).lower.from_first_worst < 0.827


@pytest.mark.parametrize("arrangement", ["counter-rotating", "face by face"])
def test_the_outlook_is_what_simulated_readings_scatter_by(arrangement: Arrangement) -> None:
    """Own linear algebra: pseudo-inverse of the dense design, run constants and all."""
    closure = Closure(4, subdivision=3, arrangement=arrangement)
    start, offset = np.array([0, 0, 0, 3, 3]), np.array([0, 1, 3, 1, 2])
    runs = Runs.of(closure, np.array([0, 1])).join(arcs(closure, start, offset))
    turn = 1 if arrangement == "counter-rotating" else -1
    rows = []
    for run in range(7):
        steps = 5
        for step in range(steps):
            first, stride, settings = (0, 3, 4) if run < 2 else (int(start[run - 2]), 1, 4)
            at = first + stride * (step % settings)
            k = 3 * run if run < 2 else int(offset[run - 2])
            row = np.zeros(24 + 7)
            row[at % 12] += 1
            row[12 + (k - turn * at) % 12] += turn
            row[24 + run] = 1
            rows.append(row)
    dense = np.array(rows)
    values = np.linalg.svd(dense, compute_uv=False)
    touched = int((np.abs(dense).sum(axis=0) > 0).sum())
    rank = int((values > 1e-10).sum())
    found = arc_outlook(closure, runs)
    assert found.degrees_of_freedom == len(dense) - rank
    # Beside what is undetermined, the mean of each circle is a matter of definition.
    assert found.missing == touched - rank - 2
    cofactor = np.linalg.pinv(dense.T @ dense)
    null = np.eye(31) - np.linalg.pinv(dense) @ dense
    variance = []
    for at in found.lower.at:
        want = np.zeros(31)
        want[at] += 1
        want[0] -= 1
        open_ = np.linalg.norm(null @ want) > 1e-9
        assert open_ == (at in found.lower.loose)
        variance.append(want @ cofactor @ want)
    if not len(found.lower.loose):
        assert found.lower.from_first_worst == pytest.approx(max(variance))
        assert found.lower.from_first_mean == pytest.approx(np.mean(variance))


@pytest.mark.parametrize("offsets", [(0, 30), (0, 3, 6, 12), (0, 2, 8), (1, 3), (2, 17, 27), (0, 5, 15)])
@pytest.mark.parametrize("starts", [[0], [2, 3], list(range(12))])
def test_a_common_factor_leaves_directions_open(offsets: tuple[int, ...], starts: list[int]) -> None:
    closure = Closure(12, subdivision=30)
    factor = common_factor(30, offsets)
    assert factor > 1
    found = arc_outlook(closure, plan(closure, starts, offsets))
    assert found.missing >= factor - 1
    assert found.lower.loose.size > 0
    assert np.isnan(found.lower.from_first_worst)


def test_no_common_factor_is_not_enough_on_one_arc() -> None:
    """0 and 7 join only every seventh position of an arc; over all arcs the others come in."""
    closure = Closure(12, subdivision=30)
    assert common_factor(30, (0, 7)) == 1
    assert not arc_outlook(closure, plan(closure, [0], (0, 7))).determined
    assert arc_outlook(closure, plan(closure, list(range(12)), (0, 7))).determined


@pytest.mark.parametrize(
    ("positions", "subdivision", "count"),
    [(12, 30, 6), (12, 30, 3), (12, 30, 2), (36, 10, 6), (12, 2, 6), (12, 3, 4), (8, 45, 5), (12, 120, 6)],
)
def test_what_is_proposed_determines_and_is_as_many(positions: int, subdivision: int, count: int) -> None:
    closure = Closure(positions, subdivision=subdivision)
    offsets = propose(closure, COARSE, count)
    assert len(offsets) == min(count, subdivision + 1)
    assert offsets == tuple(sorted(set(offsets)))
    assert offsets[0] == 0
    assert offsets[-1] <= subdivision
    assert offsets == propose(closure, COARSE, count)
    shift = np.array(offsets)
    runs = Runs.of(closure, COARSE).join(arcs(closure, 0 * shift, shift))
    assert arc_outlook(closure, runs).determined


def test_what_is_proposed_is_no_worse_than_the_trial() -> None:
    closure = Closure(12, subdivision=30)
    ours = arc_outlook(closure, plan(closure, [0], propose(closure, COARSE)))
    trial = arc_outlook(closure, plan(closure, [0], (0, 1, 4, 10, 18, 30)))
    assert ours.lower.from_first_mean < trial.lower.from_first_mean


@pytest.mark.parametrize(("subdivision", "count"), [(12, 4), (20, 5), (30, 6)])
def test_no_single_exchange_is_better_than_what_is_proposed(subdivision: int, count: int) -> None:
    """Every offset exchanged for every other one, each plan solved on its own."""
    closure = Closure(4, subdivision=subdivision)
    found = propose(closure, COARSE[:2], count)

    def mean(offsets: tuple[int, ...]) -> float:
        shift = np.array(offsets)
        runs = Runs.of(closure, COARSE[:2]).join(arcs(closure, 0 * shift, shift))
        outlook = arc_outlook(closure, runs)
        return outlook.lower.from_first_mean if outlook.determined else np.inf

    others = [
        tuple(sorted({*found, value} - {gone}))
        for gone in found[1:]
        for value in range(1, subdivision + 1)
        if value not in found
    ]
    assert min(map(mean, others)) >= mean(found) * (1 - 1e-9)


def test_refused() -> None:
    with pytest.raises(Refused, match="no interval is divided"):
        propose(Closure(12), COARSE)
    with pytest.raises(Refused, match="determines nothing"):
        propose(Closure(12, subdivision=30), COARSE, 1)


def test_arcs_of_no_fine_step_have_nothing_inside() -> None:
    found = arc_outlook(Closure(12, subdivision=30), Runs.of(Closure(12, subdivision=30), COARSE))
    assert found.determined
    assert found.lower.at.size == 0
    assert np.isnan(found.lower.from_first_worst)
