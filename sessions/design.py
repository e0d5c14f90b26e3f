"""What is read: the runs of a session round the circle and over arcs, and their steps."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from solver.closure import Arrangement, Closure, Drift, Kind, ReadingMode
from solver.runs import Runs, arcs

Direction = Literal["forward", "forward and return"]
RunDirection = Literal["forward", "return"]

MOST_POSITIONS = 1440
MOST_SUBDIVISION = 3600
#: Readings of a cell that a plan may ask for.
MOST_REPEATS = 99

CLOSURES: tuple[Kind, ...] = ("dual", "single")
READINGS: tuple[ReadingMode, ...] = ("position", "interval")
ARRANGEMENTS: tuple[Arrangement, ...] = ("counter-rotating", "face by face")
DIRECTIONS: tuple[Direction, ...] = ("forward", "forward and return")
DRIFTS: tuple[Drift, ...] = ("none", "linear")


@dataclass(frozen=True, slots=True)
class Arc:
    """A run over an arc one interval long, in fine steps.

    Parameters
    ----------
    start : int
        Where the lower circle stands at step 0, in fine positions.
    offset : int
        How far the upper circle is shifted against the lower one, in fine positions: where it would stand with the
        lower one at 0.
    """

    start: int
    offset: int


@dataclass(frozen=True, slots=True)
class Run:
    """One trip round the circle, or over an arc of it.

    Parameters
    ----------
    number : int
        From 0.
    offset : int
        In positions; over an arc in fine positions.
    direction : str
        Which way it is read.
    arc : Arc or None
        The arc; None for a run round the circle.
    """

    number: int
    offset: int
    direction: RunDirection
    arc: Arc | None = None


@dataclass(frozen=True, slots=True)
class Design:
    """What is read, in the words of the session file.

    Parameters
    ----------
    positions : int
        n, from 2 to 1440.
    offsets : tuple of int
        Offset of each run (of each pair of runs, forward and return), 0 … n-1; one may stand twice.
    closure, reading, arrangement, drift
        The model, see `solver.closure.Closure`.
    direction : str
        "forward", or "forward and return": then the runs are 0 forward, 0 return, 1 forward, …
    subdivision : int
        m, fine steps that the arcs divide an interval into; fine positions are numbered 0 … n m - 1.
    arcs : tuple of Arc
        One run each (or one pair of runs), after those round the circle: steps 0 … m, closing reading at m + 1.
    closing : bool
        Whether a closing reading is planned at step n; means nothing but by "position".
    repeats : int
        Readings planned in each cell, at least 1.
    """

    positions: int
    offsets: tuple[int, ...]
    closure: Kind = "dual"
    reading: ReadingMode = "position"
    arrangement: Arrangement = "counter-rotating"
    direction: Direction = "forward"
    closing: bool = True
    repeats: int = 1
    drift: Drift = "none"
    subdivision: int = 1
    arcs: tuple[Arc, ...] = ()

    @property
    def runs(self) -> tuple[Run, ...]:
        """The runs in the order in which they are numbered and taken."""
        ways: tuple[RunDirection, ...] = (
            ("forward",) if self.direction == "forward" else ("forward", "return")
        )
        trips = [(offset, None) for offset in self.offsets] + [(arc.offset, arc) for arc in self.arcs]
        each = [(offset, way, arc) for offset, arc in trips for way in ways]
        return tuple(Run(number, *run) for number, run in enumerate(each))

    @property
    def ways(self) -> int:
        """Runs made of each offset and each arc: 2 for forward and return."""
        return 1 if self.direction == "forward" else 2

    @property
    def whole_runs(self) -> int:
        """Number of runs round the circle; they come first."""
        return len(self.offsets) * self.ways

    @property
    def run_count(self) -> int:
        """Number of runs."""
        return (len(self.offsets) + len(self.arcs)) * self.ways

    @property
    def fine(self) -> int:
        """Fine positions of a circle, n m; n where no interval is divided."""
        return self.positions * self.subdivision

    @property
    def first_step(self) -> int:
        """The lowest step of a run: 0 by "position", 1 by "interval"."""
        return 0 if self.reading == "position" else 1

    @property
    def last_step(self) -> int:
        """The highest step of a run: n with a closing reading or by "interval", else n - 1."""
        return self.positions - 1 if self.reading == "position" and not self.closing else self.positions

    @property
    def steps(self) -> range:
        """The steps of a run round the circle, rising; a return run is read from the last to the first."""
        return range(self.first_step, self.last_step + 1)

    @property
    def arc_steps(self) -> range:
        """The steps of a run over an arc, the closing reading one beyond its end."""
        return range(self.subdivision + 2 if self.closing else self.subdivision + 1)

    def steps_of(self, run: int) -> range:
        """Return the steps of a run, rising."""
        return self.steps if run < self.whole_runs else self.arc_steps

    def order_of(self, run: int) -> range:
        """Return the steps of a run as the bench comes to them: a return run from the last to the first."""
        steps = self.steps_of(run)
        return steps[::-1] if run % self.ways else steps

    def closing_step(self, run: int) -> int:
        """Return the step at which a run is back at its first setting, planned or not."""
        return self.positions if run < self.whole_runs else self.subdivision + 1

    def step_words(self, run: int, step: int) -> str:
        """Return a step as a table of readings names it: "12 closing" where the run closes."""
        closing = self.reading == "position" and step == self.closing_step(run)
        return f"{step} closing" if closing else str(step)

    @property
    def width(self) -> int:
        """One more than the highest step of any run."""
        return max(self.last_step + 1, len(self.arc_steps) if self.arcs else 0)

    @property
    def planned_cells(self) -> int:
        """Number of cells of the whole design."""
        return self.whole_runs * len(self.steps) + len(self.arcs) * self.ways * len(self.arc_steps)

    def model(self, polarity: int = 1) -> Closure:
        """Return the solver's model of this design."""
        return Closure(
            self.positions,
            self.closure,
            self.reading,
            self.arrangement,
            self.drift,
            polarity,
            self.subdivision if self.arcs else 1,
        )

    def courses(self, closure: Closure) -> Runs:
        """Return how the runs go, for the solver, with the model of this design."""
        offset = np.repeat(np.array(self.offsets, dtype=np.int64), self.ways)
        whole = Runs.of(closure, offset)
        if not self.arcs:
            return whole
        start, shift = np.repeat([(arc.start, arc.offset) for arc in self.arcs], self.ways, axis=0).T
        return whole.join(arcs(closure, start, shift))


def measured_positions(design: Design) -> tuple[NDArray[np.int64], ...]:
    """Return the fine positions at which some run stops, rising, of each circle, lower first."""
    closure = design.model()
    runs = design.courses(closure)
    offset, at = runs.setting(*runs.planned())
    lower = np.unique(closure.lower(at))
    return (lower, np.unique(closure.upper(offset, at))) if closure.dual else (lower,)
