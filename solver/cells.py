"""Readings gathered into cells: a mean, a count and a spread for each (run, step)."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from solver.closure import Closure, Flags, Floats, Ints
from solver.refused import Refused
from solver.runs import Runs


@dataclass(frozen=True, slots=True)
class Cells:
    """The filled cells of a reading matrix, N of them, arc seconds.

    Values stand relative to a base near the readings of their run, so that a run constant of any size costs
    no digits.

    Parameters
    ----------
    run, step : (N,) int arrays
        Place of each cell; no place stands twice.
    value : (N,) array
        Mean of the accepted readings minus the base of the run.
    count : (N,) int array
        Accepted readings in the cell, at least 1.
    squares : (N,) array
        Sum of squared deviations of the readings from their cell's mean.
    base : (runs,) array
        What to add to the values of a run.
    """

    run: Ints
    step: Ints
    value: Floats
    count: Ints
    squares: Floats
    base: Floats

    def __len__(self) -> int:
        return len(self.run)

    @property
    def repeatability(self) -> tuple[float, int]:
        """Standard deviation within cells, nan with no repeats, and its degrees of freedom (ISO 5725-2)."""
        freedom = int(np.sum(self.count - 1))
        return (float(np.sqrt(self.squares.sum() / freedom)) if freedom else np.nan), freedom

    @property
    def variance_by_repeats(self) -> float:
        """Variance of a cell's value if only its repeats scattered, nan with none; cells have equal weight."""
        return float(self.repeatability[0] ** 2 * np.mean(1 / self.count)) if len(self) else np.nan


def gather(run: Ints, step: Ints, value: Floats, *, runs: int | None = None) -> Cells:
    """Gather single readings into cells.

    Parameters
    ----------
    run, step : (M,) int arrays
        Where each accepted reading was taken.
    value : (M,) array
        The readings, arc seconds, in any order.
    runs : int, optional
        Number of runs; by default one more than the largest in `run`.

    Returns
    -------
    Cells
        Sorted by run, then step. The base of a run is its first reading.
    """
    run, step = np.asarray(run, dtype=np.int64), np.asarray(step, dtype=np.int64)
    value = np.asarray(value, dtype=float)
    total = int(runs if runs is not None else (run.max() + 1 if run.size else 0))
    base = np.zeros(total)
    present, first = np.unique(run, return_index=True)
    base[present] = value[first]
    width = int(step.max()) + 1 if step.size else 1
    place, cell = np.unique(run * width + step, return_inverse=True)
    relative = value - base[run]
    count = np.bincount(cell, minlength=len(place)).astype(np.int64)
    mean = np.bincount(cell, relative, len(place)) / np.maximum(count, 1)
    squares = np.bincount(cell, (relative - mean[cell]) ** 2, len(place)).astype(np.float64)
    return Cells(place // width, place % width, mean, count, squares, base)


def check(closure: Closure, runs: Runs, cells: Cells) -> None:
    """Refuse cells that no adjustment could be right with.

    Parameters
    ----------
    closure : Closure
        The model.
    runs : Runs
        How the runs go.
    cells : Cells
        Filled cells.

    Raises
    ------
    Refused
        For a run or a step that the model does not have, and for a value that is not a finite number.
    """
    strange = (cells.run < 0) | (cells.run >= len(runs))
    if strange.any():
        raise Refused(f"this cell does not exist: there are {len(runs)} runs", where=_place(cells, strange))
    first, last = closure.first_step, runs.settings[cells.run]
    outside = (cells.step < first) | (cells.step > last)
    if outside.any():
        raise Refused(
            f"this cell does not exist: the run has steps {first} … {last[outside][0]}",
            where=_place(cells, outside),
        )
    wild = ~np.isfinite(cells.value)
    if wild.any():
        raise Refused(
            "the cell holds no finite number", where=_place(cells, wild), remedy="strike the reading"
        )


def _place(cells: Cells, which: Flags) -> str:
    at = int(np.argmax(which))
    return f"run {cells.run[at]}, step {cells.step[at]}"
