"""A simulated stack: true errors, and what the instrument reads at any setting."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from sessions.header import Header
from sessions.practice.parameters import Parameters
from solver.closure import Floats

#: Scatter of the constants of the runs, arc seconds: where the mirror happens to point after an offset is set.
_POINTING = 3.0
#: Names of the streams of random numbers, so that one more reading changes no other.
_LOWER, _UPPER, _REFERENCE, _RUN, _SEATING, _READING, _TOOTH, SLIP, _LOWER_FINE, _UPPER_FINE = range(10)
#: Scatter of the errors inside an interval about a smooth curve, as a part of that of the coarse positions.
_INSIDE = 0.3
#: A factor below which no tooth is lazy.
LAZY = 2.0


@dataclass(frozen=True, slots=True)
class Tooth:
    """The lazy tooth: a position of one circle, "lower" or "upper", that repeats badly."""

    circle: str
    position: int


class Stack:
    """Two circles (or one) under a simulated instrument; the same header and parameters make the same stack.

    Parameters
    ----------
    header : Header
        Plan and instrument of the session.
    parameters : Parameters
        What the stack is like.

    Notes
    -----
    Readings are as in `solver.closure`, with an error of each seating and one of each
    reading added, all normal; every number comes from a stream of its own, named by seed, run, step, seating
    and repeat, so that it does not matter in which order the cells are read.
    """

    def __init__(self, header: Header, parameters: Parameters) -> None:
        self.header = header
        self.parameters = parameters
        self._design = header.design
        self._model = header.design.model(header.instrument.polarity)
        self._courses = header.design.courses(self._model)

    @cached_property
    def lower(self) -> Floats:
        """True position errors of the lower circle about their mean, (n,), arc seconds."""
        return self._errors(_LOWER)

    @cached_property
    def upper(self) -> Floats:
        """True position errors of the upper circle about their mean, (n,); all nan for a single closure."""
        if not self._model.dual:
            return np.full(self._design.positions, np.nan)
        return self._errors(_UPPER)

    @cached_property
    def lower_fine(self) -> Floats:
        """True errors of the lower circle at all n m fine positions, about the mean of the n coarse ones."""
        return self._inside(self.lower, _LOWER_FINE)

    @cached_property
    def upper_fine(self) -> Floats:
        """True errors of the upper circle at all n m fine positions, about the mean of the n coarse ones."""
        return self._inside(self.upper, _UPPER_FINE)

    @cached_property
    def reference(self) -> float:
        """True error of the fixed angle of a single closure, arc seconds; nan for a dual one."""
        return np.nan if self._model.dual else float(self.stream(_REFERENCE).normal(0.0, _POINTING))

    @cached_property
    def tooth(self) -> Tooth | None:
        """The lazy tooth, if there is one."""
        if self.parameters.lazy < LAZY:
            return None
        stream = self.stream(_TOOTH)
        on_upper = bool(stream.integers(2)) and self._model.dual
        return Tooth("upper" if on_upper else "lower", int(stream.integers(self._design.positions)))

    def reading(self, run: int, step: int, seating: int, repeat: int) -> float:
        """Return what the instrument reads, arc seconds, every digit of it.

        Parameters
        ----------
        run, step : int
            The cell.
        seating : int
            How often the stack was set there before: 0 the first time.
        repeat : int
            How many readings were taken in this seating before.
        """
        value = self.expected(run, step)
        value += self._scatter(run, step) * self.stream(_SEATING, run, step, seating).normal()
        reader = self.stream(_READING, run, step, seating, repeat)
        disturbed = reader.random() < self.parameters.turbulence
        factor = self.parameters.gust if disturbed else 1.0
        return float(value + factor * self.parameters.within * reader.normal())

    def expected(self, run: int, step: int) -> float:
        """Return what the instrument would read without scatter, drift included, arc seconds."""
        polarity = self._model.polarity
        if not self._model.dual:
            n = self._design.positions
            interval = self.lower[step % n] - self.lower[step - 1]
            return float(polarity * (interval - self.reference))
        if self._design.reading == "interval":
            moved = self._setting(run, step) - self._setting(run, step - 1)
            return float(polarity * moved + self._drift(run) / self._design.positions)
        return float(polarity * self._setting(run, step) + self._constant(run) + self._drifted(run, step))

    @property
    def cell_deviation(self) -> float:
        """Standard deviation of a cell of the planned repeats, arc seconds."""
        return self.parameters.deviation(self._design.repeats)

    def _errors(self, name: int) -> Floats:
        n = self._design.positions
        stream = self.stream(name)
        phase = stream.uniform(0.0, 2 * np.pi)
        angle = 2 * np.pi * np.arange(n) / n
        errors = self.parameters.errors * (stream.normal(size=n) + np.sin(angle + phase))
        return np.asarray(errors - errors.mean())

    def _inside(self, coarse: Floats, name: int) -> Floats:
        """Return errors at every fine position: smooth from one coarse position to the next, with a scatter."""
        m = self._model.subdivision
        if m == 1:
            return coarse
        part = np.arange(m) / m
        before, after, beyond = (np.roll(coarse, shift)[:, None] for shift in (1, -1, -2))
        here = coarse[:, None]
        # The cubic through two positions with the slopes of the chords beside them (Catmull and Rom; memory).
        curve = here + 0.5 * part * (
            (after - before)
            + part * (2 * before - 5 * here + 4 * after - beyond)
            + part**2 * (3 * (here - after) + beyond - before)
        )
        scatter = _INSIDE * self.parameters.errors * self.stream(name).normal(size=curve.shape)
        scatter[:, 0] = 0.0
        return np.asarray((curve + scatter).ravel())

    def _at(self, run: int, step: int) -> tuple[int, int]:
        """Return where the lower and the upper circle stand at a step, in fine positions."""
        offset, lower = self._courses.setting(np.array(run), np.array(step))
        return int(self._model.lower(lower)), int(self._model.upper(offset, lower))

    def _setting(self, run: int, step: int) -> float:
        """Return by how much the two circles together turn the mirror too far at a step."""
        lower, upper = self._at(run, step)
        return float(self.lower_fine[lower] + self._model.upper_sign * self.upper_fine[upper])

    def _scatter(self, run: int, step: int) -> float:
        """Return the standard deviation between seatings at a cell."""
        tooth = self.tooth
        if tooth is None:
            return self.parameters.seating
        steps = [step] if self._design.reading == "position" else [step - 1, step]
        circle = 0 if tooth.circle == "lower" else 1
        lazy = any(self._at(run, t)[circle] == tooth.position * self._model.subdivision for t in steps)
        return self.parameters.seating * (self.parameters.lazy if lazy else 1.0)

    def _constant(self, run: int) -> float:
        """Return where the mirror points at the first reading of a run; a return run begins where it was left."""
        if self._design.runs[run].direction == "return":
            return self._constant(run - 1) + self._drift(run - 1)
        return float(self.stream(_RUN, run).normal(0.0, _POINTING))

    def _drift(self, run: int) -> float:
        """Return what the zero drifts in the whole of a run."""
        return float(self.parameters.drift * self.stream(_RUN, run, 1).normal())

    def _drifted(self, run: int, step: int) -> float:
        """Return what it has drifted at a step."""
        steps = self._design.steps_of(run)
        first, last = steps[0], steps[-1]
        gone = last - step if self._design.runs[run].direction == "return" else step - first
        return self._drift(run) * gone / max(last - first, 1)

    def stream(self, *name: int) -> np.random.Generator:
        """Return the random numbers of that name."""
        return np.random.default_rng([self.parameters.seed, *name])
