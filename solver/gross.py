"""Gross slips that nothing else checks yet: far from the rest of the run, or from the repeat, by a slip of digits."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import replace

import numpy as np

from solver.closure import Flags, Floats
from solver.flags import Flag
from solver.quantile import student
from solver.scene import Scene
from solver.slips import Slip
from solver.which import bad_of_pair

#: Probability by which a normal value is as far from the others of its run. The errors of a circle are no sample of a
#: normal distribution, so that the level is no promise: what is found must be explained by a slip as well.
LEVEL = 1e-6

#: Other cells of the run that are needed: with fewer any two values differ by as much.
FEWEST = 3

#: Of so many cells one may be grossly off.
_SHARE = 4

#: Repeated cells beyond which their scatter tells (`solver.ranges`).
PAIRS = 3

#: How much wider a pair is than the other pairs, than it would be put right, and than rounding makes it: noise about
#: zero has pairs like that as well, but few.
_WIDER, _CLOSER, _DIGITS = 20.0, 300.0, 150.0

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


def slipped_pairs(scene: Scene, least: float, known: Collection[tuple[int, int]]) -> Iterator[Flag]:
    """Yield a flag for each pair of readings of which one is the other with its sign or its point wrong.

    While no more than `PAIRS` cells are repeated, little tells how far apart repeats lie. Two that differ by a hundred
    times as much as the one differs from the other put right are a known slip all the same.

    Parameters
    ----------
    scene : Scene
        Readings and verdict.
    least : float
        Standard deviation of a value by its last digit, arc seconds.
    known : collection of (run, step)
        Cells that are flagged already.
    """
    repeated = np.flatnonzero(scene.cells.count > 1)
    if len(repeated) > PAIRS:
        return
    width = {cell: float(np.ptp(scene.value[scene.members(cell)])) for cell in repeated.tolist()}
    for cell, gap in width.items():
        members = scene.members(cell)
        others = max((each for other, each in width.items() if other != cell), default=0.0)
        if len(members) != 2 or scene.place(cell) in known or gap < max(_WIDER * others, _DIGITS * least):
            continue
        close = max(gap / _CLOSER, least)
        tried = [
            (int(i), scene.slip(int(i), float(scene.value[j]), close)) for i, j in (members, members[::-1])
        ]
        explained = [(i, slip) for i, slip in tried if slip is not None and slip.name in ("sign", "decimal")]
        if explained:
            yield _of_a_pair(scene, cell, dict(explained), gap, close)


def _of_a_pair(scene: Scene, cell: int, slips: Mapping[int, Slip], gap: float, close: float) -> Flag:
    """Accuse the reading that all else speaks against; else the later, and name the other."""
    bad, other, sure = bad_of_pair(scene, cell, [cell])
    flag = scene.flag(bad, "repeats", gap / close, _WIDER)
    others = () if sure else (int(scene.readings.number[other]),)
    return replace(scene.explained(flag, float(scene.value[other]), slip=slips.get(bad)), others=others)


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
    return scene.explained(scene.flag(reading, "residual", statistic, critical), middle, deviation, slip)
