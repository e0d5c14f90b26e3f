"""How fast and how good the planning is, against plainer ways in the same run: python -m pytest tests/benchmarks -s."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from time import perf_counter

import numpy as np

from sessions.design import Design
from sessions.plan import COUNTS, Wanted, plan
from solver.adjust import adjust
from solver.cells import gather
from solver.closure import Closure
from solver.extend import extend
from solver.offsets import best_offsets
from solver.variance import bound, variances


def seconds(work: Callable[[], object], times: int = 1) -> float:
    taken = []
    for _ in range(times):
        start = perf_counter()
        work()
        taken.append(perf_counter() - start)
    return min(taken)


def greedy(positions: int, count: int) -> tuple[int, ...]:
    """Add one offset at a time, each the best of all by the formula written out."""
    frequency = np.arange(1, positions)
    waves = np.exp(-2j * np.pi * np.outer(np.arange(positions), frequency) / positions)
    offsets = [0]
    while len(offsets) < count:
        m = len(offsets) + 1
        transform = waves[offsets].sum(axis=0) + waves
        gap = np.maximum(m - np.abs(transform) ** 2 / m, 1e-9)
        cost = np.sum(1 / gap, axis=1)
        cost[offsets] = np.inf
        offsets.append(int(np.argmin(cost)))
    return tuple(offsets)


def places(closure: Closure, runs: int) -> tuple[np.ndarray, np.ndarray]:
    steps = np.arange(closure.first_step, closure.last_step(True) + 1)
    return np.repeat(np.arange(runs), len(steps)), np.tile(steps, runs)


def test_search_against_adding_one_at_a_time() -> None:
    print("\n  n    m   time/greedy   variance/greedy   bound/variance")
    for positions, count in [(36, 6), (72, 12), (360, 8), (360, 20), (720, 12), (1440, 8)]:
        closure = Closure(positions)
        mine = seconds(partial(best_offsets, closure, count))
        plain = seconds(partial(greedy, positions, count))
        found = variances(closure, best_offsets(closure, count)).position
        other = variances(closure, greedy(positions, count)).position
        print(
            f"{positions:>5}{count:>4}{mine / plain:>12.2f}{found / other:>16.4f}"
            f"{bound(closure, count) / found:>17.4f}"
        )
        assert found <= other * (1 + 1e-9)


def test_a_whole_table_against_one_greedy_row() -> None:
    print("\n  n   table/greedy row of 20")
    for positions in (36, 360, 1440):
        table = seconds(partial(plan, Wanted(Design(positions, (0,)), tolerance=0.1)))
        row = seconds(partial(greedy, positions, 20))
        print(f"{positions:>5}{table / row:>12.2f}   ({len(COUNTS)} counts and the complete closure)")


def test_closed_form_against_the_dense_covariance() -> None:
    closure = Closure(72)
    offsets = best_offsets(closure, 12)
    run, step = places(closure, 12)
    cells = gather(run, step, np.zeros(len(run)))
    formula = seconds(lambda: variances(closure, offsets), 20)
    dense = seconds(lambda: adjust(closure, np.array(offsets), cells), 5)
    print(f"\n  n = 72, m = 12: dense covariance takes {dense / formula:.0f} times the closed form")


def test_next_offset_against_adjusting_for_each() -> None:
    closure = Closure(72)
    run, step = places(closure, 3)
    cells = gather(run, step, np.zeros(len(run)))
    more_run, more_step = places(closure, 4)
    more = gather(more_run, more_step, np.zeros(len(more_run)))
    fast = seconds(lambda: extend(closure, np.array([0, 1, 9]), cells))
    slow = seconds(lambda: [adjust(closure, np.array([0, 1, 9, k]), more) for k in range(72)])
    print(f"\n  n = 72, all 72 offsets: adjusting for each takes {slow / fast:.1f} times `extend`")
