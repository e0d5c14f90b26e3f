"""The four views of the reading matrix: readings, residuals, spread of the repeats, predicted values."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import Enum

import numpy as np

from sessions.analysis import Analysis
from sessions.bench import Place
from sessions.circle_words import angle_words
from sessions.counted import counted
from sessions.design import Design
from sessions.flow import Flow
from sessions.header import Header
from sessions.matrix import Matrix, Snapshot
from solver.closure import Floats
from tui.widgets.formats import signed
from tui.widgets.marks import Characters, Tone
from tui.widgets.source import CellView

#: Digits after the point, at least, where no resolution says how many.
_DECIMALS = 2
_NARROWEST = 10


class View(Enum):
    """What the matrix shows."""

    READINGS = "readings"
    RESIDUALS = "residuals"
    SPREAD = "spread"
    PREDICTED = "predicted"

    @property
    def explained(self) -> str:
        """What it is, in a few words."""
        return {
            View.READINGS: "readings",
            View.RESIDUALS: "residuals: reading minus adjusted value",
            View.SPREAD: "spread of the readings in each cell, largest minus smallest",
            View.PREDICTED: "predicted by the other readings of the adjustment",
        }[self]

    def following(self) -> View:
        """Return the view that comes next."""
        views = tuple(View)
        return views[(views.index(self) + 1) % len(views)]


@dataclass(frozen=True, slots=True)
class Sight:
    """All that a view draws from."""

    flow: Flow
    analysis: Analysis | None
    signs: Characters
    tones: Mapping[tuple[int, int], Tone]

    @property
    def header(self) -> Header:
        """The header as amended."""
        return self.flow.session.header

    @property
    def matrix(self) -> Matrix:
        """The readings, as they stand now."""
        return self.flow.session.matrix


class MatrixView:
    """A source for the matrix widget, in the unit typed.

    Parameters
    ----------
    view : View
        Which of the four.
    sight : Sight
        What to draw from.
    """

    def __init__(self, view: View, sight: Sight) -> None:
        self._view = view
        self.see(sight)

    def see(self, sight: Sight) -> None:
        """Draw from newer readings."""
        design = sight.header.design
        self._sight = sight
        self._design = design
        self._offsets = design.runs
        self._part = part_of(design, sight.flow.place.run)
        self.first_run, self.runs = self._part.start, self._part.stop
        self.all_runs = design.run_count
        steps = design.steps_of(self.first_run)
        self.first_step, self.last_step = steps[0], steps[-1]
        self.decimals = reading_decimals(sight.header, sight.matrix)
        if self._view is not View.READINGS:
            self.decimals += 1
        self._splits = frozenset(sight.matrix.splits)
        self._value = self._values()
        heading = len(f"run {self.runs - 1} _")
        offset = len(f"offset {design.positions - 1}")
        if self._offsets[self.first_run].arc is not None:
            offset = max(len(self.column_heading(run)[1]) for run in self._part)
        self.cell_width = max(_NARROWEST, self._longest() + 3, heading + 1, offset + 2)

    @property
    def shape(self) -> tuple[View, range, int, int, int]:
        """What the layout depends on: view, runs, steps, width and decimals."""
        return self._view, self._part, self.last_step, self.cell_width, self.decimals

    def holds(self, run: int) -> bool:
        """Return whether a run is among those shown."""
        return run in self._part

    def column_heading(self, run: int) -> tuple[str, str]:
        """Return run and offset; an arrow says which way the rows are read where there are two ways."""
        this = self._offsets[run]
        way = ""
        if self._design.direction == "forward and return":
            signs = self._sight.signs
            way = f" {signs.down if this.direction == 'forward' else signs.up}"
        if this.arc is not None:
            return f"run {run}{way}", self._degrees(f"at {angle_words(this.offset, self._design.fine)}")
        return f"run {run}{way}", "" if self._design.closure == "single" else f"offset {this.offset}"

    def row_heading(self, step: int) -> str:
        """Return the step and the angle of the lower circle."""
        n, at = self._design.positions, step
        arc = self._offsets[self.first_run].arc
        if arc is not None:
            n = self._design.fine
            at = arc.start + step % self._design.closing_step(self.first_run)
        width = len(str(self.last_step))
        widest = max(len(angle_words(position, n)) for position in (1, n - 1))
        angle = f"{angle_words(at % n, n):>{widest}}"
        return f"{step:>{width}} {self._degrees(angle)}"

    def _degrees(self, words: str) -> str:
        return words.replace("°", self._sight.signs.degree)

    def cell(self, run: int, step: int) -> CellView:
        """Return a cell of the view."""
        if self._view is View.READINGS:
            return self._reading(run, step)
        value = self._value(run, step)
        tone = self._sight.tones.get((run, step), Tone.PLAIN)
        if math.isnan(value):
            open_ = self._view is View.PREDICTED or bool(self._sight.matrix.count[run, step])
            return CellView("", Tone.UNDETERMINED if open_ else Tone.EMPTY)
        plus = self._view is not View.SPREAD
        return CellView(signed(value, self.decimals, self._sight.signs, plus=plus), tone)

    def _reading(self, run: int, step: int) -> CellView:
        matrix, signs = self._sight.matrix, self._sight.signs
        readings = matrix.readings(run, step)
        following = self._sight.flow.next == Place(run, step)
        counted = [reading for reading in readings if reading.counts]
        if not counted:
            if following:
                return CellView("", Tone.PLANNED_NEXT)
            if readings:
                return CellView(self._written(readings[-1].value), Tone.STRUCK)
            return CellView()
        text = self._written(float(matrix.mean[run, step] + matrix.base[run]))
        tone = self._sight.tones.get((run, step))
        if tone is None:
            tone = Tone.KEPT if any(reading.status == "kept" for reading in counted) else Tone.PLAIN
        mark = ""
        if tone is Tone.PLAIN and following:
            mark = signs.mark(Tone.PLANNED_NEXT)
        elif tone is Tone.PLAIN and (run, step) in self._splits:
            mark = signs.split
        elif tone is Tone.PLAIN and len(counted) > 1:
            tone, mark = Tone.REPEAT, signs.repeats(len(counted))
        elif tone in (Tone.SUSPECT, Tone.STRONG_SUSPECT) and len(counted) > 1:
            return CellView(text, tone, signs.repeats(len(counted)), before=signs.mark(tone))
        return CellView(text, tone, mark)

    def _written(self, value: float) -> str:
        return signed(value, self.decimals, self._sight.signs)

    def _values(self) -> Callable[[int, int], float]:
        """Return the function from a cell to its number in this view; nan where there is none."""
        if self._view is View.SPREAD:
            return self._spread
        analysis = self._sight.analysis
        if analysis is None or self._view is View.READINGS:
            return lambda _run, _step: math.nan
        factor = self._sight.header.instrument.arcsec_per_unit
        if self._view is View.RESIDUALS:
            table = np.full((self.all_runs, self._design.width), np.nan)
            table[analysis.cells.run, analysis.cells.step] = analysis.adjustment.residual / factor
            return lambda run, step: float(table[run, step])
        predicted = _Predicted(analysis)
        return lambda run, step: predicted(run, step) / factor

    def _spread(self, run: int, step: int) -> float:
        values = [reading.value for reading in self._sight.matrix.readings(run, step) if reading.counts]
        return max(values) - min(values) if len(values) > 1 else math.nan

    def _longest(self) -> int:
        """Return the room that the longest number needs."""
        matrix = self._sight.matrix
        filled = matrix.count > 0
        if not filled.any():
            return 0
        largest = np.nanmax(np.where(filled, np.abs(matrix.mean + matrix.base[:, None]), 0.0))
        return len(f"{largest:.{self.decimals}f}") + 1


def part_of(design: Design, run: int) -> range:
    """Return the runs that are shown with a run: all round the circle, or those over the same arc beside it."""
    if run < design.whole_runs or not design.arcs:
        return range(design.whole_runs)
    starts = [arc.start for arc in design.arcs for _ in range(design.ways)]
    first = last = here = run - design.whole_runs
    while first > 0 and starts[first - 1] == starts[here]:
        first -= 1
    while last + 1 < len(starts) and starts[last + 1] == starts[here]:
        last += 1
    return range(design.whole_runs + first, design.whole_runs + last + 1)


def part_words(design: Design, run: int) -> str:
    """Return which part of the matrix a run is shown in; "" where there is only one."""
    if not design.arcs:
        return ""
    arc = design.runs[run].arc
    if arc is None:
        return "round the circle"
    count = len(part_of(design, run))
    ends = (arc.start, arc.start + design.subdivision)
    start, end = (angle_words(at % design.fine, design.fine) for at in ends)
    return f"arc {start} to {end}, {counted(count, 'run')}"


class _Predicted:
    """What the other cells say of each cell, worked out run by run when a run comes into sight."""

    def __init__(self, analysis: Analysis) -> None:
        self._analysis = analysis
        self._runs: dict[int, Floats] = {}

    def __call__(self, run: int, step: int) -> float:
        """Return the prediction, arc seconds; nan where it is not determined."""
        if run not in self._runs:
            self._runs[run] = self._column(run)
        return float(self._runs[run][step])

    def _column(self, run: int) -> Floats:
        analysis = self._analysis
        design = analysis.header.design
        step = np.arange(design.steps_of(run)[-1] + 1)
        group = np.array([analysis.group_of(run, int(t)) for t in step])
        offset, at = analysis.adjustment.runs.setting(np.full(len(step), run), step)
        column = analysis.adjustment.predict(offset, at, group, time=step).value
        cells, adjustment = analysis.cells, analysis.adjustment
        filled = np.flatnonzero(cells.run == run)
        # A cell's own reading is left out of its prediction: e / (1 - h) is its deleted residual.
        free = 1.0 - adjustment.leverage[filled]
        deleted = np.full(len(filled), np.nan)
        np.divide(adjustment.residual[filled], free, out=deleted, where=free > _OWN)
        value = adjustment.fitted[filled] + adjustment.residual[filled]
        column[cells.step[filled]] = value - deleted
        return column


#: A cell with less than this left of its weight is determined by nothing but itself.
_OWN = 1e-9


def reading_decimals(header: Header, matrix: Matrix | Snapshot) -> int:
    """Return the digits after the point that readings are shown with; a few where no resolution says how many."""
    return max(_DECIMALS if header.instrument.decimals is None else 0, matrix.decimals)
