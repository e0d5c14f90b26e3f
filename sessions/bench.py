"""Where the bench goes next, and what to set there, in words."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sessions.bench_words import SettingWords
from sessions.circle_words import angle_words
from sessions.header import Header

__all__ = ["Bench", "Instruction", "Place", "angle_words"]


@dataclass(frozen=True, slots=True)
class Place:
    """One cell of the reading matrix."""

    run: int
    step: int


@dataclass(frozen=True, slots=True)
class Instruction:
    """What to do at a place: what to set, where that is, and what has to come first, if anything."""

    set_to: str
    where: str
    first: str


class Bench:
    """The order of the work: runs as numbered, a return run from its last step back to its first.

    Parameters
    ----------
    header : Header
        The session's plan.
    """

    def __init__(self, header: Header) -> None:
        self._header = header
        self._words = SettingWords(header)
        design = header.design
        self._steps = np.arange(design.first_step, design.last_step + 1)
        self._back = np.array([run.direction == "return" for run in design.runs], dtype=bool)

    def places(self) -> tuple[Place, ...]:
        """Return every place in the order of the bench."""
        return tuple(
            Place(run, int(step))
            for run, back in enumerate(self._back)
            for step in (self._steps[::-1] if back else self._steps)
        )

    def next_after(self, place: Place | None, count: NDArray[np.int64]) -> Place | None:
        """Return the first place from `place` on that lacks readings, round to the start; None when all are done.

        Parameters
        ----------
        place : Place or None
            Where the bench stands, its own successor while it lacks repeats; None before the first reading.
        count : (runs, last_step + 1) int array
            Accepted readings.
        """
        lacking = count[:, self._steps] < self._header.design.repeats
        lacking[self._back] = lacking[self._back, ::-1]
        flat = lacking.ravel()
        start = self._rank(place) if place is not None else 0
        for part, shift in ((flat[start:], start), (flat[:start], 0)):
            if part.any():
                return self._place(int(part.argmax()) + shift)
        return None

    def following(self, place: Place) -> Place | None:
        """Return the place that the bench visits after `place`, done or not; None after the last."""
        rank = self._rank(place) + 1
        return self._place(rank) if rank < len(self._steps) * len(self._back) else None

    def _rank(self, place: Place) -> int:
        within = place.step - int(self._steps[0])
        if self._back[place.run]:
            within = len(self._steps) - 1 - within
        return place.run * len(self._steps) + within

    def _place(self, rank: int) -> Place:
        run, within = divmod(rank, len(self._steps))
        if self._back[run]:
            within = len(self._steps) - 1 - within
        return Place(run, int(self._steps[within]))

    def instruction(self, place: Place, taken: int) -> Instruction:
        """Say what to set at `place`, where `taken` accepted readings are already in the cell."""
        design = self._header.design
        run = design.runs[place.run]
        where = f"run {place.run}"
        if design.closure == "dual":
            where += f", offset {run.offset}"
        if design.direction == "forward and return":
            where += f", {run.direction}"
        where += f", step {place.step}"
        if taken >= design.repeats:
            where += ", a further repeat"
        elif design.repeats > 1:
            where += f", reading {taken + 1}/{design.repeats}"
        return Instruction(self._words.set_to(place.run, place.step), where, self._first(place, taken))

    def angle(self, position: int) -> str:
        """Return the nominal angle of a position in words, for example "60°" or "51.4286°"."""
        return angle_words(position, self._header.design.positions)

    def _first(self, place: Place, taken: int) -> str:
        """Return what has to be done before the reading, beyond setting the circles."""
        design = self._header.design
        run = design.runs[place.run]
        back = run.direction == "return"
        begins = place.step == (design.last_step if back else design.first_step)
        if taken:
            return "Touch nothing: the same setting again." if taken < design.repeats else ""
        if begins and back:
            return "The return run begins here: touch nothing, read again, then step back."
        if begins:
            return f"Run {place.run} begins. {self._words.begins(place.run)}"
        if design.reading == "position" and place.step == (0 if back else design.positions):
            return "Closing reading: all the way round, back at the start of the run."
        return ""
