"""The repeats of each cell against each other, and the cells' spreads against each other."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from solver.closure import Floats, Ints
from solver.deleted import Accepted, Scale
from solver.quantile import fisher
from solver.ranges import wide_cells
from solver.repeats import grubbs_critical, share_critical
from solver.spread import Spread


def disagreeing(
    cell: Ints, value: Floats, cells: int, level: float, accepted: Accepted | None = None, least: float = 0.0
) -> list[Spread]:
    """Find the cells whose repeats disagree; each cell is reported once, by the test that says it most clearly.

    The scatter within a cell is judged by that of the other cells, pooled with the accepted one, so that a bad
    reading does not excuse itself. Each of the three tests takes a third of the level.

    Parameters
    ----------
    cell : (M,) int array
        Cell of each accepted reading.
    value : (M,) array
        The readings less the base of their run, arc seconds.
    cells : int
        Number of cells.
    level : float
        Probability of reporting any cell of a clean session.
    accepted : Accepted, optional
        Standard deviation of a reading within its cell, known beforehand.
    least : float
        Variance of one reading below which rounding alone explains a scatter.

    Notes
    -----
    Critical range: ISO 5725-6. Grubbs and Cochran: ISO 5725-2. Levels by Bonferroni over the cells.
    """
    count = np.bincount(cell, minlength=cells).astype(np.int64)
    if not (count > 1).any():
        return []
    mean = np.bincount(cell, value, cells) / np.maximum(count, 1)
    squares = np.asarray(np.bincount(cell, (value - mean[cell]) ** 2, cells), dtype=float)
    freedom = int(np.sum(count[count > 1] - 1))
    scale = Scale(float(squares.sum()), freedom, accepted, least)
    wide = wide_cells(cell, value, count, squares, scale, level / 3)
    tests = [
        *wide,
        *_grubbs(cell, value, count, level / 3, least),
        *_cochran(count, squares, level / 3, least),
    ]
    worst: dict[int, Spread] = {}
    for found in tests:
        before = worst.get(found.cell)
        if before is None or found.statistic / found.critical > before.statistic / before.critical:
            worst[found.cell] = found
    return list(worst.values())


def _grubbs(cell: Ints, value: Floats, count: Ints, level: float, least: float) -> Iterator[Spread]:
    tests = int(np.count_nonzero(count > 2))
    if not tests:
        return
    order = np.argsort(cell, kind="stable")
    start = np.cumsum(count) - count
    for size in np.unique(count[count > 2]).tolist():
        cells = np.flatnonzero(count == size)
        place = order[start[cells][:, None] + np.arange(size)]
        away = np.abs(value[place] - value[place].mean(axis=1, keepdims=True))
        index = away.argmax(axis=1)
        worst = away[np.arange(len(cells)), index]
        # Readings rounded to the same digits agree better than they should, so rounding is put back.
        deviation = np.sqrt(np.sum(away**2, axis=1) / (size - 1) + least)
        statistic = np.divide(worst, deviation, out=np.zeros_like(worst), where=deviation > 0)
        critical, strong = grubbs_critical(size, level / tests), grubbs_critical(size, level / 5 / tests)
        for i in np.flatnonzero(statistic > critical):
            found, reading = float(statistic[i]), int(place[i, index[i]])
            yield Spread(int(cells[i]), "grubbs", found, critical, found > strong, reading)


def _cochran(count: Ints, squares: Floats, level: float, least: float) -> Iterator[Spread]:
    repeated = np.flatnonzero(count > 1)
    total = float(squares[repeated].sum())
    if len(repeated) < 2 or total <= 0:
        return
    freedom = (count[repeated] - 1).astype(float)
    # Repeats rounded to the same digit have no scatter at all, beside which any other is large: rounding is put back.
    rounded = squares[repeated] + freedom * least
    share = rounded / float(rounded.sum())
    critical, strong = share_critical(freedom, level), share_critical(freedom, level / 5)
    for i in np.flatnonzero(share > critical):
        # Rounding alone must not make a spread: the F test allows the least variance so much.
        room = freedom[i] * least * float(fisher(level / len(repeated), freedom[i], np.inf))
        if squares[repeated[i]] <= room:
            continue
        yield Spread(
            int(repeated[i]), "cochran", float(share[i]), float(critical[i]), bool(share[i] > strong[i])
        )
