"""What may be wrong with a whole run: one step off, circles confused, polarity turned."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from solver.case import Case
from solver.closure import Closure, Ints
from solver.columns import Columns
from solver.rows import rows
from solver.runs import Runs

#: Suppositions about one run at most.
MOST = 11

#: Least share of a run's settings at positions that are measured anyway, for a supposition to be worth anything.
CHECKED = 0.75

Name = Literal["run shifted", "circles confused", "polarity"]


@dataclass(frozen=True, slots=True)
class Change:
    """A supposition about one run.

    Parameters
    ----------
    run : int
        The run.
    name : str
        "run shifted": the circles stood `lower` and `upper` positions (of an arc: fine ones) further on than recorded.
        "circles confused": each circle stood where the other should have been; with `lower` and `upper` given,
    only at the start of the run, the offset having been set on the lower circle.
        "polarity": the readings have the opposite sign.
    lower, upper : int
        Positions by which a circle stood further on.
    """

    run: int
    name: Name
    lower: int = 0
    upper: int = 0


def possible(closure: Closure, runs: Runs, run: int) -> tuple[Change, ...]:
    """Return the suppositions that differ from what is recorded for a run."""
    ahead = (-1, 1)
    if not closure.dual:
        shifts = [(step, 0) for step in ahead]
    else:
        shifts = [(0, step) for step in ahead] + [(step, 0) for step in ahead]
        shifts += [(first, second) for first in ahead for second in ahead]
    changes = [Change(run, "run shifted", *shift) for shift in shifts]
    if closure.dual:
        changes.append(Change(run, "circles confused"))
        apart, stride = _apart(closure, runs, run), int(runs.stride[run])
        n = closure.fine // stride
        if closure.upper_sign == 1 and apart % stride == 0 and apart // stride % n not in (0, 1, n - 1):
            changes.append(Change(run, "circles confused", apart // stride, -(apart // stride)))
    changes.append(Change(run, "polarity"))
    return tuple(
        change
        for change in changes
        if not _same(closure, runs, change) and _checked(closure, runs, change) >= CHECKED
    )


def _checked(closure: Closure, runs: Runs, change: Change) -> float:
    """Return the share of a run's settings that a change leaves at positions where some run is planned to stop.

    Elsewhere over an arc each reading would have a position of its own to fit it.
    """
    if closure.subdivision == 1:
        return 1.0
    step = np.arange(runs.settings[change.run])
    _, at = runs.setting(np.full(len(step), change.run), step)
    turned, moved, _ = settings(closure, runs, change, at)
    supposed = rows(closure, turned, moved, step)
    _, known = Columns.of(closure, runs, supposed.take(slice(0))).narrow(supposed)
    return float(known.mean())


def _apart(closure: Closure, runs: Runs, run: int) -> int:
    """Return by how much the upper circle stands further on than the lower at the start of a run."""
    offset, start = int(runs.offset[run]), int(runs.start[run])
    return offset - closure.upper_sign * start - start


def _same(closure: Closure, runs: Runs, change: Change) -> bool:
    """Return whether a change of settings leaves every setting of the run as it was."""
    if change.name == "polarity":
        return False
    step = np.arange(closure.first_step, runs.settings[change.run] + 1)
    offset, at = runs.setting(np.full(len(step), change.run), step)
    turned, moved, sign = settings(closure, runs, change, at)
    lower = np.array_equal(closure.lower(moved), closure.lower(at))
    upper = not closure.dual or np.array_equal(closure.upper(turned, moved), closure.upper(offset, at))
    return bool(lower and upper and sign == 1)


def settings(closure: Closure, runs: Runs, change: Change, step: Ints) -> tuple[Ints, Ints, int]:
    """Return the offsets, steps and sign of the readings under which a run was in truth taken.

    Any pair of positions is a setting at some offset and step, so no other mathematics is needed.

    Parameters
    ----------
    closure : Closure
        The model.
    runs : Runs
        How the runs go as recorded.
    change : Change
        What is supposed of one of them.
    step : (N,) int array
        Lower positions as recorded.
    """
    offset, stride = int(runs.offset[change.run]), int(runs.stride[change.run])
    turned, moved, sign = _settings(closure, change, offset, stride, step)
    return np.full(len(step), turned, dtype=np.int64), moved, sign


def _settings(
    closure: Closure, change: Change, offset: int, stride: int, step: Ints
) -> tuple[int, Ints, int]:
    n = closure.fine
    turn = -closure.upper_sign
    if change.name == "polarity":
        return offset, step, -1
    if change.lower or change.upper:
        # upper = offset + turn * step must come out `upper` further on, with the step `lower` further on.
        lower, upper = stride * change.lower, stride * change.upper
        return (offset + upper - turn * lower) % n, step + lower, 1
    # Lower and upper position change places: lower = offset + turn * step, upper = step.
    if turn == 1:
        return -offset % n, step + offset, 1
    if closure.reading == "interval":
        # The lower circle runs backward, so each interval is crossed the other way.
        return offset, offset - step + 1, -1
    return offset, offset - step, 1


def changed(case: Case, change: Change) -> Case:
    """Return the case as it would be if `change` were true."""
    here = case.run == change.run
    if not here.any():
        return case
    offset, step, reading = case.offset.copy(), case.step.copy(), case.reading.copy()
    offset[here], step[here], sign = settings(case.closure, case.runs, change, step[here])
    base, turned = case.base.copy(), case.sign.copy()
    if sign == -1:
        turned[here] *= -1
        reading[here] *= -1
        if case.closure.dual:
            base[np.unique(case.group[here])] *= -1
        else:
            reading[here] -= 2 * base[0]
    return replace(case, offset=offset, step=step, reading=reading, base=base, sign=turned)
