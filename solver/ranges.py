"""Critical ranges: cells whose repeats lie further apart than the scatter of all the other cells allows."""

from __future__ import annotations

from dataclasses import dataclass
from math import comb

import numpy as np

from solver.closure import Floats, Ints
from solver.deleted import Scale
from solver.quantile import studentized_range
from solver.spread import Spread

#: Cells set aside at most, so that wide cells that hide each other are reached.
DEPTH = 10


@dataclass(frozen=True, slots=True)
class _Cells:
    """The repeated cells: number of readings, range and sum of squares of each, (cells,), and what is known."""

    count: Ints
    width: Floats
    squares: Floats
    scale: Scale
    level: float

    def widest(self, left: Ints, scale: Scale, level: float) -> tuple[int, float] | None:
        """Return the cell that stands out most among those left, and its statistic over what chance allows."""
        best = None
        for size in np.unique(self.count[left]).tolist():
            here = left[self.count[left] == size]
            variance, freedom = scale.without(self.squares[here], size - 1)
            if freedom <= 0:
                continue
            statistic = _ratio(self.width[here], variance)
            top = int(statistic.argmax())
            # One pair alone is a lower bound of the critical value, and quick.
            bound = studentized_range(level, 2, freedom)
            share = float(statistic[top]) / (
                studentized_range(level, size, freedom) if statistic[top] > bound else bound
            )
            if best is None or share > best[1]:
                best = int(here[top]), share
        return best

    def found(self, cell: int, scale: Scale, level: float) -> Spread:
        """Judge a cell by the cells that were not set aside."""
        variance, freedom = scale.without(0.0, 0)
        size = int(self.count[cell])
        statistic = float(_ratio(self.width[cell], variance))
        critical, strong = (studentized_range(each, size, freedom) for each in (level, level / 5))
        return Spread(cell, "range", statistic, critical, statistic > strong)


def wide_cells(
    cell: Ints, value: Floats, count: Ints, squares: Floats, scale: Scale, level: float
) -> list[Spread]:
    """Find the cells whose range is wider than the scatter of the others allows, however many they are.

    The widest is set aside and the others are judged again by what is left, so that no bad reading hides another
    by the scatter that it brings. The set is closed at the last step that is significant.

    Parameters
    ----------
    cell : (M,) int array
        Cell of each reading.
    value : (M,) array
        The readings, arc seconds.
    count, squares : (cells,) arrays
        Readings in each cell, and their sum of squares about its mean.
    scale : Scale
        The squares of all cells together and the accepted scatter of a reading within its cell.
    level : float
        Probability of reporting any cell of a clean session; those that were hidden add at most as much again.

    Notes
    -----
    Critical range of ISO 5725-6, by Bonferroni over the cells. A cell that only stands out once others, not
    significant themselves, are set aside must do so by Bonferroni over all that could have been set aside.
    """
    highest, lowest = np.full(len(count), -np.inf), np.full(len(count), np.inf)
    np.maximum.at(highest, cell, value)
    np.minimum.at(lowest, cell, value)
    filled = count > 0
    width = np.subtract(highest, lowest, out=np.zeros(len(count)), where=filled)
    cells = _Cells(count, width, squares, scale, level)
    left = np.flatnonzero(count > 1)
    tests = len(left)
    struck: list[int] = []
    last, closed = 0, level
    for step in range(min(DEPTH, max(tests // 2, 1))):
        each = level / (tests - step)
        if step > last:
            each /= 2**step * comb(tests, step)
        top = cells.widest(left, scale, each)
        if top is None:
            break
        struck.append(top[0])
        scale = scale.struck(float(squares[top[0]]), int(count[top[0]]) - 1)
        left = left[left != top[0]]
        if top[1] > 1:
            last, closed = step + 1, each
    clean = cells.scale
    for i in struck[:last]:
        clean = clean.struck(float(squares[i]), int(count[i]) - 1)
    return [cells.found(i, clean, closed) for i in struck[:last]]


def _ratio(width: Floats | float, variance: Floats) -> Floats:
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.nan_to_num(np.asarray(width / np.sqrt(variance)), nan=0.0, posinf=np.inf)
