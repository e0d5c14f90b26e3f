"""Flags on readings that their own repeats do not bear out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from solver.closure import Ints
from solver.deleted import Scale
from solver.flags import Flag
from solver.quantile import studentized_range
from solver.scene import Scene
from solver.slips import Slip
from solver.spread import Spread
from solver.which import bad_of_pair
from solver.within import disagreeing

#: How sure a slip must be to accuse one reading of a pair.
SURE = 0.8

#: Level at which the other repeats are taken to agree.
AGREE = 0.05


@dataclass(frozen=True, slots=True)
class _Accused:
    """A reading, what the others of its cell predict, how surely, what slip explains it, which others may be bad."""

    reading: int
    predicted: float
    deviation: float
    slip: Slip | None
    others: tuple[int, ...] = ()


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
    cells = scene.cells
    relative = scene.value - cells.base[scene.readings.run]
    found = disagreeing(scene.cell, relative, len(cells), level, scene.limits.within, least)
    if not found:
        return []
    freedom = float(np.sum(cells.count - 1))
    scale = Scale(float(cells.squares.sum()), freedom, scene.limits.within, least)
    wide = [spread.cell for spread in found]
    for cell in wide:
        scale = scale.struck(float(cells.squares[cell]), int(cells.count[cell]) - 1)
    return [_flag(scene, spread, scale, wide) for spread in found]


def _flag(scene: Scene, spread: Spread, scale: Scale, wide: Sequence[int]) -> Flag:
    members = scene.members(spread.cell)
    if len(members) == 2:
        accused = _of_a_pair(scene, spread.cell, members, scale, wide)
        whole = False
    else:
        accused = _of_more(scene, spread, members, scale)
        # What Cochran's test found the accepted deviation may well allow.
        judge = replace(scale, accepted=None) if spread.test == "cochran" else scale
        whole = spread.reading is None and not _agree(scene, members[members != accused.reading], judge)
    flag = scene.flag(
        accused.reading,
        "spread" if whole else "repeats",
        spread.statistic,
        spread.critical,
        strong=spread.strong,
    )
    if whole:
        return replace(flag, value=float(scene.value[members].std(ddof=1)))
    deviation = accused.deviation if np.isfinite(accused.deviation) else None
    others = tuple(int(scene.readings.number[i]) for i in accused.others)
    return replace(scene.explained(flag, accused.predicted, deviation, accused.slip), others=others)


def _of_a_pair(scene: Scene, cell: int, members: Ints, scale: Scale, wide: Sequence[int]) -> _Accused:
    """Accuse one of two readings if all else, or a slip, speaks against it; else the later, and name the other."""
    bad, other, sure = bad_of_pair(scene, cell, wide)
    if sure:
        return _accused(scene, bad, members, scale)
    tried = [_accused(scene, reading, members, scale) for reading in (bad, other)]
    explained = [each for each in tried if each.slip is not None]
    if len(explained) == 1 and explained[0].slip is not None and explained[0].slip.probability > SURE:
        return explained[0]
    return replace(tried[0], others=(other,))


def _of_more(scene: Scene, spread: Spread, members: Ints, scale: Scale) -> _Accused:
    """Accuse the reading that Grubbs' test names, else that furthest from the median of the cell."""
    reading = spread.reading
    if reading is None:
        reading = scene.furthest(spread.cell, float(np.median(scene.value[members])))
    return _accused(scene, reading, members, scale)


def _accused(scene: Scene, reading: int, members: Ints, scale: Scale) -> _Accused:
    others = members[members != reading]
    variance, freedom = scale.without(0.0, 0)
    if freedom <= 0:
        # Its own repeats are all there is to judge by.
        own = float(scene.value[others].var(ddof=1)) if len(others) > 1 else np.nan
        variance = np.asarray(max(own, scale.least))
    deviation = float(np.sqrt(variance * (1 + 1 / len(others))))
    predicted = float(scene.value[others].mean())
    return _Accused(reading, predicted, deviation, scene.slip(reading, predicted, deviation))


def _agree(scene: Scene, readings: Ints, scale: Scale) -> bool:
    """Return whether some readings of a cell lie no further apart than the scatter of the other cells allows."""
    variance, freedom = scale.without(0.0, 0)
    if freedom <= 0:
        return False
    allowed = studentized_range(AGREE, len(readings), freedom) * np.sqrt(variance)
    return bool(np.ptp(scene.value[readings]) <= allowed)
