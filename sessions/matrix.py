"""The reading matrix: what stands in each cell, kept up to date reading by reading."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from sessions.entries import Reading
from sessions.header import Header
from sessions.reading_table import ACCEPTED, KEPT, STRUCK, Columns, ReadingTable
from sessions.rounding import written_decimals

Status = Literal["accepted", "struck", "kept"]
RunStep = tuple[int, int]

_CODES: Mapping[Status, int] = {"struck": STRUCK, "accepted": ACCEPTED, "kept": KEPT}


@dataclass(frozen=True, slots=True)
class CellReading:
    """A reading as it stands in its cell; `reason` is that of the strike or the keep.

    Status "kept" is accepted as well: it was flagged, and kept on purpose.
    """

    number: int
    value: float
    status: Status
    reason: str
    time: datetime

    @property
    def counts(self) -> bool:
        """Whether the reading enters its cell's mean."""
        return self.status != "struck"


@dataclass(frozen=True, slots=True)
class Snapshot:
    """The matrix as it stood after one entry; nothing in it changes any more.

    Parameters
    ----------
    header : Header
        With all amendments so far.
    count : (runs, steps) int array
        Accepted readings in each cell; the second index is the step itself.
    mean : (runs, steps) array
        Mean of the accepted readings minus the base of the run, in the unit typed; nan in an empty cell.
    squares : (runs, steps) array
        Sum of squared deviations of the accepted readings from their cell's mean; 0 in an empty cell.
    base : (runs,) array
        A reading of the run that counts: the first, or once that was struck the middle one by value; 0 where there is
        none.
    cells : mapping
        From (run, step) to the readings of the cell in the order typed.
    columns : Columns
        The same readings side by side, struck ones too.
    splits : tuple of (run, step)
        Where a run got a constant of its own, sorted.
    accepted, struck : int
        Readings that count (kept ones included), and readings that do not.
    filled : int
        Cells with at least one accepted reading.
    last : Reading or None
        The newest reading.
    written : int
        Digits after the point of the reading, struck or not, that was typed with most of them.
    """

    header: Header
    count: NDArray[np.int64]
    mean: NDArray[np.float64]
    squares: NDArray[np.float64]
    base: NDArray[np.float64]
    cells: Mapping[RunStep, tuple[CellReading, ...]]
    columns: Columns
    splits: tuple[RunStep, ...]
    accepted: int
    struck: int
    filled: int
    last: Reading | None
    written: int

    @property
    def decimals(self) -> int:
        """Digits after the point of a reading: those of the resolution, else the most that one was typed with."""
        return _decimals(self.header, self.written)

    def readings(self, run: int, step: int) -> tuple[CellReading, ...]:
        """Return the readings of a cell, struck ones too, in the order typed."""
        return self.cells.get((run, step), ())


def _decimals(header: Header, written: int) -> int:
    stated = header.instrument.decimals
    return written if stated is None else stated


class Matrix:
    """The mutable twin of `Snapshot`, owned by a session; each change costs the same at any size.

    It trusts its caller: what is illegal has been refused before.
    """

    def __init__(self, header: Header) -> None:
        self.last: Reading | None = None
        self.accepted = 0
        self.struck = 0
        self.filled = 0
        self._written = 0
        self._cells: dict[RunStep, tuple[CellReading, ...]] = {}
        self._places: dict[int, RunStep] = {}
        self._filled_once: dict[int, list[RunStep]] = {}
        self._bases: dict[int, float] = {}
        self._splits: set[RunStep] = set()
        self._table = ReadingTable()
        self._means: dict[RunStep, tuple[int, float, float]] = {}
        self.reshape(header)

    def reshape(self, header: Header) -> None:
        """Take another header; every reading recorded must lie inside its design."""
        self.header = header
        design = header.design
        shape = (design.run_count, design.width)
        self._steps = (design.steps, design.arc_steps)
        self._whole_runs = design.whole_runs
        self.count = np.zeros(shape, dtype=np.int64)
        self.mean = np.full(shape, np.nan)
        self.squares = np.zeros(shape)
        self.base = np.zeros(shape[0])
        for run, value in self._bases.items():
            self.base[run] = value
        for place, (count, mean, squares) in self._means.items():
            self.count[place], self.mean[place], self.squares[place] = count, mean, squares

    def readings(self, run: int, step: int) -> tuple[CellReading, ...]:
        """Return the readings of a cell, struck ones too, in the order typed."""
        return self._cells.get((run, step), ())

    def steps(self, run: int) -> range | None:
        """Return the steps of a run, or None where the design has no such run."""
        if not 0 <= run < len(self.count):
            return None
        return self._steps[run >= self._whole_runs]

    def place(self, number: int) -> RunStep | None:
        """Return (run, step) of reading `number`, or None where that entry is no reading."""
        return self._places.get(number)

    def reading(self, number: int) -> CellReading | None:
        """Return reading `number` as it stands, or None where that entry is no reading."""
        place = self._places.get(number)
        if place is None:
            return None
        return next(reading for reading in self._cells[place] if reading.number == number)

    @property
    def places(self) -> Mapping[RunStep, tuple[CellReading, ...]]:
        """Every cell that ever got a reading, with its readings."""
        return self._cells

    @property
    def decimals(self) -> int:
        """Digits after the point of a reading: those of the resolution, else the most that one was typed with."""
        return _decimals(self.header, self._written)

    @property
    def splits(self) -> tuple[RunStep, ...]:
        """Where a run got a constant of its own, sorted."""
        return tuple(sorted(self._splits))

    def add(self, reading: Reading) -> None:
        """Put a new reading into its cell (running mean and squares: Welford, 1962)."""
        place = (reading.run, reading.step)
        entry = CellReading(reading.number, reading.value, "accepted", "", reading.time)
        if place not in self._cells:
            self._filled_once.setdefault(reading.run, []).append(place)
        self._cells[place] = (*self._cells.get(place, ()), entry)
        self._places[reading.number] = place
        self._table.add(reading)
        if not self.count[reading.run].any():
            # Nothing counts yet, or what did was struck: a slip far off would cost the run its digits.
            self._bases[reading.run] = self.base[reading.run] = reading.value
        count, mean, squares = self._means.get(place, (0, 0.0, 0.0))
        relative = reading.value - self._bases[reading.run]
        before = relative - mean
        mean += before / (count + 1)
        self._fill(place, count + 1, mean, squares + before * (relative - mean))
        self.accepted += 1
        self.last = reading
        self._written = max(self._written, written_decimals(reading.value))

    def mark(self, number: int, status: Status, reason: str) -> None:
        """Give reading `number` another status and recompute its cell."""
        place = self._places[number]
        cell = self._cells[place]
        self._cells[place] = tuple(
            replace(reading, status=status, reason=reason) if reading.number == number else reading
            for reading in cell
        )
        self._table.mark(number, _CODES[status])
        before = self._means.get(place, (0, 0.0, 0.0))[0]
        self._recompute(place)
        change = self._means[place][0] - before
        self.accepted += change
        self.struck -= change
        if status == "struck" and self._bases[place[0]] in {r.value for r in cell if r.number == number}:
            self._rebase(place[0])

    def split(self, run: int, step: int) -> None:
        """Give the run a constant of its own from `step` on."""
        self._splits.add((run, step))

    def join(self, run: int, step: int) -> None:
        """Undo a split."""
        self._splits.discard((run, step))

    def snapshot(self) -> Snapshot:
        """Return a frozen copy, for a thread that solves while readings go on."""
        count, mean, squares, base = (
            self.count.copy(),
            self.mean.copy(),
            self.squares.copy(),
            self.base.copy(),
        )
        for array in (count, mean, squares, base):
            array.flags.writeable = False
        return Snapshot(
            self.header,
            count,
            mean,
            squares,
            base,
            self._cells.copy(),
            self._table.columns(),
            self.splits,
            self.accepted,
            self.struck,
            self.filled,
            self.last,
            self._written,
        )

    def _recompute(self, place: RunStep) -> None:
        """Work out a cell anew from its readings."""
        base = self._bases[place[0]]
        relative = [reading.value - base for reading in self._cells[place] if reading.counts]
        mean = sum(relative) / len(relative) if relative else 0.0
        self._fill(place, len(relative), mean, sum((value - mean) ** 2 for value in relative))

    def _rebase(self, run: int) -> None:
        """Take another base when the reading behind it is struck: a slip far off would cost the run its digits.

        The middle one by value is no slip far off, and where a whole run is struck it is seldom the next to go.
        """
        places = self._filled_once[run]
        counted = [reading.value for place in places for reading in self._cells[place] if reading.counts]
        if not counted:
            return
        self._bases[run] = self.base[run] = sorted(counted)[len(counted) // 2]
        for place in places:
            self._recompute(place)

    def _fill(self, place: RunStep, count: int, mean: float, squares: float) -> None:
        before = self._means.get(place, (0, 0.0, 0.0))[0]
        self.filled += (count > 0) - (before > 0)
        self._means[place] = (count, mean, squares)
        self.count[place] = count
        self.mean[place] = mean if count else np.nan
        self.squares[place] = squares
