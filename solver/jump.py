"""A knocked mirror: the step of a run at which its constant changes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from solver.case import Solved
from solver.closure import Floats, Ints
from solver.deleted import NOT_PREDICTED

#: Cells on each side of a jump; with one alone, a jump and a single bad reading are the same.
SIDE = 2

#: Cells up to which every run is examined exactly; beyond, the runs that a lower bound puts first.
SMALL, RUNS = 1000, 3


@dataclass(frozen=True, slots=True)
class Jump:
    """The best place for one jump.

    Parameters
    ----------
    group : int
        Group (run, or part of one).
    step : int
        First step beyond the jump, in rising order.
    size, root : float
        Estimated change of the constant and its standard deviation in units of that of one cell.
    gain : float
        By how much the squares fall.
    drift : float
        By how much they fall with a steady drift of the same group instead, if the model has none.
    places : int
        Number of places that were compared.
    """

    group: int
    step: int
    size: float
    root: float
    gain: float
    drift: float
    places: int


def best_jump(solved: Solved, residual: Floats, struck: Ints | None = None) -> Jump | None:
    """Find the jump that explains the residuals best.

    Parameters
    ----------
    solved : Solved
        A case of a dual closure read by "position".
    residual : (N,) array
        Its residuals, or those with the part of struck cells taken out.
    struck : int array, optional
        Cells that do not count.

    Returns
    -------
    Jump or None
        None where no group has enough cells, or none of its places can be told from the circles' errors.

    Notes
    -----
    Adding a column z to the adjustment lowers the squares by (z'r)² / z'(I - H)z. For z = 1 from a step on,
    z'r is a sum over the tail of the run.
    """
    equations = solved.fit.equations
    groups = equations.rows.group
    step = equations.rows.time
    valid = np.ones(len(residual), dtype=bool)
    if struck is not None:
        valid[struck] = False
    order = np.lexsort((step, groups))
    order = order[valid[order]]
    starts = np.flatnonzero(np.diff(groups[order], prepend=-1))
    parts = [part for part in np.split(order, starts[1:]) if len(part) >= 2 * SIDE]
    places = sum(len(part) - 2 * SIDE + 1 for part in parts)
    if len(residual) > SMALL:
        parts.sort(key=lambda part: -_bound(residual[part]))
        parts = parts[:RUNS]
    found = [jump for part in parts if (jump := _jump(solved, residual, part, places)) is not None]
    return max(found, key=lambda jump: jump.gain, default=None)


def _bound(residual: Floats) -> float:
    """Return at least how much the squares fall with a jump, if the circles took no part in it."""
    count = len(residual)
    after = count - np.arange(SIDE, count - SIDE + 1)
    tail = np.cumsum(residual[::-1])[::-1][SIDE : count - SIDE + 1]
    return float(np.max(tail**2 * count / (after * (count - after))))


def _jump(solved: Solved, residual: Floats, part: Ints, places: int) -> Jump | None:
    equations = solved.fit.equations
    design = equations.rows.take(part)
    count = len(part)
    # The last column is a steady drift; the others jump.
    column = np.tri(count, count, dtype=float)[:, SIDE : count - SIDE + 1]
    column = np.column_stack([column, design.time - design.time.mean()])
    own = column.copy()
    for function in equations.elimination.functions[:, part]:
        own -= np.outer(function, function @ column)
    seen = design.transposed_times(own)
    room = np.sum(own**2, axis=0) - np.sum(seen * solved.fit.cofactor.times(seen), axis=0)
    told = room > NOT_PREDICTED * count
    along = column.T @ residual[part]
    gain = np.where(told, along**2 / np.where(told, room, 1.0), 0.0)
    best = int(gain[:-1].argmax())
    if not told[best]:
        return None
    return Jump(
        group=int(design.group[0]),
        step=int(design.time[best + SIDE]),
        size=float(along[best] / room[best]),
        root=float(1 / np.sqrt(room[best])),
        gain=float(gain[best]),
        drift=float(gain[-1]),
        places=places,
    )
