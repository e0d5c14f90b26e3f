"""Seeded random sessions of every kind, whole and broken."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from solver.closure import Closure
from tests.solver.dense import Case

KINDS = [
    {"kind": kind, "reading": reading, "arrangement": arrangement, "drift": drift, "polarity": polarity}
    for kind, reading, arrangement, drift in [
        ("dual", "position", "counter-rotating", "none"),
        ("dual", "position", "counter-rotating", "linear"),
        ("dual", "position", "face by face", "none"),
        ("dual", "position", "face by face", "linear"),
        ("dual", "interval", "counter-rotating", "none"),
        ("dual", "interval", "counter-rotating", "linear"),
        ("dual", "interval", "face by face", "none"),
        ("dual", "interval", "face by face", "linear"),
        ("single", "interval", "counter-rotating", "none"),
    ]
    for polarity in (1, -1)
]


def session(closure: Closure, offsets: list[int], *, closing: bool = False, seed: int = 0) -> Case:
    """Return complete runs at offsets, one reading a cell, of circles with random errors and noise."""
    steps = np.arange(closure.first_step, closure.last_step(closing) + 1)
    run, step = (x.ravel() for x in np.meshgrid(np.arange(len(offsets)), steps, indexing="ij"))
    value = np.random.default_rng(seed).normal(size=run.size)
    return Case(closure, np.array(offsets), run, step, value, run)


def without(case: Case, gone: NDArray[np.bool_]) -> Case:
    """Return the case without some of its readings."""
    left = ~gone
    run, step, value, group = case.run[left], case.step[left], case.value[left], case.group[left]
    return Case(case.closure, case.offset, run, step, value, group)


def random_case(seed: int, kind: Mapping[str, object]) -> Case:
    """Return a session with random size, offsets (some twice), gaps, repeats, split runs and unequal lengths.

    Some have offsets with a common factor or a step that no run takes, so that a part of the values stays open.
    """
    rng = np.random.default_rng(seed)
    n = int(rng.integers(2, 11))
    closure = Closure(n, **kind)  # type: ignore[arg-type]
    offsets = rng.integers(0, n, rng.integers(1, 2 + n)) * rng.choice([1, 1, 2]) % n
    whole = session(closure, offsets.tolist(), closing=bool(rng.integers(2)), seed=seed)
    if rng.random() < 0.3:
        return without(whole, whole.step == rng.integers(closure.first_step, n))
    keep = rng.random(whole.run.size) < rng.choice([0.3, 0.7, 0.9, 1.0])
    if rng.random() < 0.5:
        keep &= whole.step <= rng.integers(1, n + 1, len(whole.offset))[whole.run]
    run, step = whole.run[keep], whole.step[keep]
    group = run.copy()
    if rng.random() < 0.4:
        broken = rng.integers(len(whole.offset))
        group[(run == broken) & (step >= rng.integers(1, n))] = len(whole.offset)
    again = rng.integers(0, max(run.size, 1), rng.integers(0, 6)) if run.size else np.zeros(0, dtype=int)
    order = rng.permutation(np.concatenate([np.arange(run.size), again]))
    run, step, group = run[order], step[order], group[order]
    value = rng.normal(size=run.size) + rng.normal(0, 20, len(whole.offset))[run] + rng.normal() * step
    return Case(closure, whole.offset, run, step, value, group)


def chain(closure: Closure, width: int, offsets: list[int], *, gap: int | None = None, seed: int = 0) -> Case:
    """Return short groups of `width` steps, each sharing all but one step with the next, at every offset.

    Each group has a constant (and drift) of its own, so that the errors hang together by differences of neighbours
    only, or by differences of differences. The group numbered `gap` may be left out.
    """
    starts = np.arange(closure.first_step, closure.positions + 2 - width)
    offset = np.repeat(offsets, len(starts))
    run, step = np.repeat(np.arange(len(offset)), width), np.add.outer(starts, np.arange(width)).ravel()
    value = np.random.default_rng(seed).normal(size=run.size)
    case = Case(closure, offset, run, np.tile(step, len(offsets)), value, run)
    return case if gap is None else without(case, run == gap)
