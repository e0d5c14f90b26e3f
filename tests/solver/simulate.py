"""Simulated sessions: how often the stated expanded uncertainty holds the true error."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from solver.adjust import adjust
from solver.budget import Line, combine
from solver.cells import gather
from solver.closure import Closure
from solver.coverage import USUAL_PROBABILITY
from solver.effects import Results
from solver.fit import solve
from solver.rows import rows

Floats = NDArray[np.float64]
#: Errors (lower, upper) of one session drawn from the lines, and noise beside the normal one, both added to readings.
Draw = Callable[[np.random.Generator, Floats, NDArray[np.int64]], tuple[Floats, Floats]]


@dataclass(frozen=True)
class Bench:
    """A design with gaps, if any, and readings with normal noise of standard deviation 1."""

    closure: Closure
    offsets: tuple[int, ...]
    closing: bool = True
    gaps: int = 0

    def places(self) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
        steps = np.arange(self.closure.first_step, self.closure.last_step(self.closing) + 1)
        run, step = (x.ravel() for x in np.meshgrid(np.arange(len(self.offsets)), steps, indexing="ij"))
        keep = np.sort(np.random.default_rng(9).permutation(len(run))[self.gaps :])
        return run[keep], step[keep]


def coverage(
    bench: Bench,
    sessions: int,
    seed: int,
    lines: tuple[Line, ...] = (),
    draw: Draw | None = None,
) -> float:
    """Return the share of true results, over all results of all sessions, within the stated U at 95.45 %.

    Results are the position errors about the mean, from position 0 and the interval errors of each circle; those that
    are 0 by definition are left out. All sessions share one cofactor matrix, as they share their settings.
    """
    closure, n = bench.closure, bench.closure.positions
    run, step = bench.places()
    adjustment = adjust(closure, np.array(bench.offsets), gather(run, step, np.zeros(len(run))))
    assert adjustment.determined
    fit = adjustment.fit
    group = run if closure.dual else np.zeros_like(run)
    design = rows(closure, np.array(bench.offsets)[run], step, group)
    circles = [("lower", adjustment.lower)]
    if adjustment.upper is not None:
        circles.append(("upper", adjustment.upper))
    here = np.arange(n)
    kinds = [
        (name, start, to, values.root, i * n)
        for i, (name, circle) in enumerate(circles)
        for to, start, values in (
            (here, None, circle.position),
            (here[1:], np.zeros(n - 1, dtype=int), _some(circle.from_first)),
            (np.roll(here, -1), here, circle.interval),
        )
    ]
    rng = np.random.default_rng(seed)
    held = total = 0
    for _ in range(sessions):
        truth = rng.normal(0, 3, design.size)
        noise = rng.normal(size=len(run))
        systematic, extra = (
            (np.zeros(design.size), np.zeros(len(run))) if draw is None else draw(rng, truth, step)
        )
        reading = design.times(truth + systematic) + noise + extra
        theta, residual = solve(fit.equations, fit.cofactor, reading)
        freedom = adjustment.degrees_of_freedom
        deviation = float(np.sqrt(residual @ residual / freedom))
        for name, start, to, root, first in kinds:
            value, true = (_result(x[first : first + n], to, start) for x in (theta, truth))
            results = Results(name, n, to, start, value, root)
            stated = combine(results, deviation, freedom, lines, USUAL_PROBABILITY)
            held += int(np.count_nonzero(np.abs(value - true) <= stated.expanded))
            total += len(to)
    return held / total


def _some(values):  # type: ignore[no-untyped-def]
    """Return the values from position 1 on."""
    return type(values)(values.value[1:], values.root[1:])


def _result(error: Floats, to: NDArray[np.int64], start: NDArray[np.int64] | None) -> Floats:
    return error[to] - (error.mean() if start is None else error[start])


BENCHES = {
    "complete": Bench(Closure(6), tuple(range(6))),
    "partial": Bench(Closure(12), (0, 1, 4), gaps=3),
    "face by face, partial": Bench(Closure(8, arrangement="face by face"), (0, 1, 3)),
    "interval": Bench(Closure(8, reading="interval"), (0, 1, 3, 4)),
    "single": Bench(Closure(8, kind="single", reading="interval"), (0, 0, 0)),
    "drift": Bench(Closure(8, drift="linear"), (0, 1, 3, 4)),
    "few degrees of freedom": Bench(Closure(5), (0, 1), closing=True),
}
