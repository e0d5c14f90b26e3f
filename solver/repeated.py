"""Flags on readings that their own repeats do not bear out."""

from __future__ import annotations

import numpy as np

from solver.closure import Ints
from solver.deleted import NOT_PREDICTED, Scale
from solver.flags import Flag
from solver.scene import Scene
from solver.slips import Slip
from solver.within import Spread, disagreeing

#: How sure a slip must be to accuse the other reading of a pair.
SURE = 0.8


def disagreements(scene: Scene, level: float, least: float) -> list[Flag]:
    """Return a flag for each cell whose repeats disagree, on the reading that is likeliest to be the bad one.

    Parameters
    ----------
    scene : Scene
        Readings in their cells.
    level : float
        Level for all cells together.
    least : float
        Variance of one reading by rounding alone.
    """
    relative = scene.value - scene.cells.base[scene.readings.run]
    found = disagreeing(scene.cell, relative, len(scene.cells), level, scene.limits.within, least)
    return [_flag(scene, spread, least) for spread in found]


def _flag(scene: Scene, spread: Spread, least: float) -> Flag:
    members = scene.members(spread.cell)
    reading, predicted, deviation, slip = _culprit(scene, spread, members, least)
    run, step = scene.place(spread.cell)
    whole = spread.test == "cochran" and len(members) > 2
    unit = scene.limits.unit
    return Flag(
        run=run,
        step=step,
        entry=int(scene.readings.number[reading]),
        test="spread" if whole else "repeats",
        statistic=spread.statistic,
        critical=spread.critical,
        strong=spread.strong,
        value=float(scene.value[members].std(ddof=1) if whole else scene.value[reading]),
        predicted=None if whole else predicted,
        deviation=None if whole or not np.isfinite(deviation) else deviation,
        suggestion=slip.name if slip and not whole else None,
        suggested_value=slip.value * unit if slip and not whole else None,
        suggested_typed=slip.value if slip and not whole else None,
    )


def _culprit(
    scene: Scene, spread: Spread, members: Ints, least: float
) -> tuple[int, float, float, Slip | None]:
    """Return the reading to accuse, what its repeats predict, and how sure, and a slip that explains it."""
    chosen = spread.reading
    if chosen is None:
        chosen = _furthest(scene, spread.cell, members)
    tried = [chosen] if len(members) > 2 else [chosen, *(int(i) for i in members if i != chosen)]
    for reading in tried:
        predicted, deviation = _by_repeats(scene, reading, members, least)
        slip = scene.slip(reading, predicted, deviation)
        # The other of a pair is accused only if a slip speaks clearly against it.
        if slip is not None and (reading == chosen or slip.probability > SURE):
            return reading, predicted, deviation, slip
    predicted, deviation = _by_repeats(scene, chosen, members, least)
    return chosen, predicted, deviation, None


def _furthest(scene: Scene, cell: int, members: Ints) -> int:
    """Return the reading furthest from the median of the cell; of two the one further from the other cells."""
    centre = float(np.median(scene.value[members]))
    solved = scene.verdict.solved
    if len(members) == 2 and solved.redundancy[cell] > NOT_PREDICTED and scene.freedom > 0:
        error = float(solved.residual[cell] / solved.redundancy[cell] * solved.case.sign[cell])
        # Only a prediction better than the readings disagree says which of them is bad.
        if abs(error) > scene.deviation / np.sqrt(solved.redundancy[cell]):
            centre = scene.mean(cell) - error
    return scene.furthest(cell, centre)


def _by_repeats(scene: Scene, reading: int, members: Ints, least: float) -> tuple[float, float]:
    """Return the mean of the other repeats and the standard deviation of a good reading about it."""
    others = members[members != reading]
    cell = int(scene.cell[reading])
    count, squares = scene.cells.count, scene.cells.squares
    total = Scale(float(squares.sum()), float(np.sum(count - 1)), scene.limits.within, least)
    variance, freedom = total.without(float(squares[cell]), int(count[cell] - 1))
    if freedom <= 0:
        # Its own repeats are all there is to judge by.
        variance = np.asarray(
            max(float(scene.value[others].var(ddof=1)) if len(others) > 1 else np.nan, least)
        )
    return float(scene.value[others].mean()), float(np.sqrt(variance * (1 + 1 / len(others))))
