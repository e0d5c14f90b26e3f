"""Gross slips in a run that no other run checks yet: far from the rest of the run, and explained by the digits."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from solver.closure import Flags, Floats
from solver.flags import Flag
from solver.quantile import student
from solver.scene import Scene

#: Probability by which a normal value is as far from the others of its run. The errors of a circle are no sample of a
#: normal distribution, so that the level is no promise: what is found must be explained by a slip as well.
LEVEL = 1e-6

#: Other cells of the run that are needed: with fewer any two values differ by as much.
FEWEST = 3

#: Of so many cells one may be grossly off.
_SHARE = 4

#: Slips of the digits alone; another setting would need errors that are known.
_OF_DIGITS = frozenset({"sign", "decimal", "digits", "dropped digit", "doubled digit"})


def gross(scene: Scene, tested: Flags, least: float) -> Iterator[Flag]:
    """Yield a flag for each reading of a cell not `tested` that is grossly off the other cells of its run.

    Before the runs check each other, the errors of the circles are all that the values of a run differ by. A point
    that was left out makes a value differ by a hundred times as much, and is a known slip.

    Parameters
    ----------
    scene : Scene
        Readings and verdict.
    tested : (N,) bool array
        Cells that the adjustment tests.
    least : float
        Least standard deviation of a value, arc seconds: that of its last digit.
    """
    cells, group = scene.cells, scene.recorded.group
    value = cells.value + cells.base[cells.run]
    for one in np.unique(group[~tested]):
        here = np.flatnonzero(group == one)
        order = here[np.argsort(-np.abs(value[here] - np.median(value[here])), kind="stable")]
        # Several hide each other: the most are supposed first.
        for count in range(min(len(here) // _SHARE, len(here) - FEWEST), 0, -1):
            found = [_judged(scene, int(cell), value[order[count:]], least) for cell in order[:count]]
            if None not in found:
                yield from (
                    flag
                    for flag, cell in zip(found, order[:count], strict=True)
                    if flag is not None and not tested[cell]
                )
                break


def _judged(scene: Scene, cell: int, others: Floats, least: float) -> Flag | None:
    middle, spread = float(others.mean()), max(float(others.std(ddof=1)), least)
    reading = scene.furthest(cell, middle)
    # All readings of one cell have this to be compared with.
    deviation = spread * np.sqrt(1 + 1 / len(others))
    statistic = abs(float(scene.value[reading]) - middle) / deviation if deviation > 0 else np.inf
    critical = float(student(LEVEL / 2, len(others) - 1))
    if not np.isfinite(statistic) or statistic <= critical:
        return None
    slip = scene.slip(reading, middle, deviation)
    if slip is None or slip.name not in _OF_DIGITS:
        return None
    run, step = scene.place(cell)
    return Flag(
        run=run,
        step=step,
        entry=int(scene.readings.number[reading]),
        test="residual",
        statistic=statistic,
        critical=critical,
        strong=True,
        value=float(scene.value[reading]),
        predicted=middle,
        deviation=deviation,
        suggestion=slip.name,
        suggested_value=slip.value * scene.limits.unit,
        suggested_typed=slip.value,
    )
