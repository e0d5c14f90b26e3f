"""Where the bench goes next, and what to set there, in words."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sessions.bench_words import SettingWords
from sessions.circle_words import angle_words
from sessions.header import Header


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
        self._orders = [header.design.order_of(run) for run in range(header.design.run_count)]
        self._run = np.repeat(np.arange(len(self._orders)), [len(order) for order in self._orders])
        self._step = np.concatenate([np.array(order) for order in self._orders])
        self._begin = np.searchsorted(self._run, np.arange(len(self._orders)))

    def places(self) -> tuple[Place, ...]:
        """Return every place in the order of the bench."""
        return tuple(Place(run, step) for run, order in enumerate(self._orders) for step in order)

    def lacking(self, count: NDArray[np.int64]) -> int:
        """Return how many planned readings are not taken; arguments as for `next_after`."""
        lacking = self._header.design.repeats - count[self._run, self._step]
        return int(lacking[lacking > 0].sum())

    def next_after(self, place: Place | None, count: NDArray[np.int64]) -> Place | None:
        """Return the first place from `place` on that lacks readings, round to the start; None when there is none.

        Cells of a run whose zero is gone are passed over, see `left_out`.

        Parameters
        ----------
        place : Place or None
            Where the bench stands, its own successor while it lacks repeats; None before the first reading.
        count : (runs, width) int array
            Accepted readings.
        """
        lacking = (count[self._run, self._step] < self._header.design.repeats) & ~self._out_of_reach(
            place, count
        )
        start = self._rank(place) if place is not None else 0
        for part, shift in ((lacking[start:], start), (lacking[:start], 0)):
            if part.any():
                return self._place(int(part.argmax()) + shift)
        return None

    @property
    def keeps_no_zero(self) -> bool:
        """Whether each reading has a zero of its own, or all have one: intervals may be read at any time."""
        return self._header.design.closure == "single" or self._header.design.reading != "position"

    def left_out(self, place: Place | None, count: NDArray[np.int64]) -> dict[Place, int]:
        """Return how many planned readings, by place, can no longer be taken; arguments as for `next_after`.

        Readings by position are relative to the zero of their run, which ends when another run is begun: a reading
        taken later would not go with the others. A run of which nothing counts may be read whole.
        """
        lacking = np.maximum(self._header.design.repeats - count[self._run, self._step], 0)
        gone = np.where(self._out_of_reach(place, count), lacking, 0)
        return {self._place(int(rank)): int(gone[rank]) for rank in np.flatnonzero(gone)}

    def in_reach(self, run: int, place: Place | None, count: NDArray[np.int64]) -> bool:
        """Return whether readings of a run would go with its others; other arguments as for `next_after`."""
        return not self._out_of_reach(place, count)[self._begin[run]]

    def _out_of_reach(self, place: Place | None, count: NDArray[np.int64]) -> NDArray[np.bool_]:
        """Return which places, in the order of the bench, belong to a run whose zero is gone."""
        if place is None or self.keeps_no_zero:
            return np.zeros(len(self._run), dtype=bool)
        begun = np.asarray(count.any(axis=1))
        begun[place.run] = False
        return begun[self._run]

    def following(self, place: Place) -> Place | None:
        """Return the place that the bench visits after `place`, done or not; None after the last."""
        rank = self._rank(place) + 1
        return self._place(rank) if rank < len(self._run) else None

    def _rank(self, place: Place) -> int:
        return int(self._begin[place.run]) + self._orders[place.run].index(place.step)

    def _place(self, rank: int) -> Place:
        return Place(int(self._run[rank]), int(self._step[rank]))

    def instruction(self, place: Place, taken: int) -> Instruction:
        """Say what to set at `place`, where `taken` accepted readings are already in the cell."""
        design = self._header.design
        run = design.runs[place.run]
        where = f"run {place.run}"
        if run.arc is not None:
            end = run.arc.start + design.subdivision
            where += (
                f", arc {self._fine(run.arc.start)} to {self._fine(end)}, offset {self._fine(run.offset)}"
            )
        elif design.closure == "dual":
            where += f", offset {run.offset}"
        if design.direction == "forward and return":
            where += f", {run.direction}"
        where += f", step {place.step}"
        if taken >= design.repeats:
            where += ", a further repeat"
        elif design.repeats > 1:
            where += f", reading {taken + 1}/{design.repeats}"
        return Instruction(self._words.set_to(place.run, place.step), where, self._first(place, taken))

    def _fine(self, position: int) -> str:
        design = self._header.design
        return angle_words(position % design.fine, design.fine)

    def _first(self, place: Place, taken: int) -> str:
        """Return what has to be done before the reading, beyond setting the circles."""
        design = self._header.design
        run = design.runs[place.run]
        back = run.direction == "return"
        begins = place.step == self._orders[place.run][0]
        if taken:
            return "Touch nothing: the same setting again." if taken < design.repeats else ""
        if begins and back:
            return "The return run begins: touch nothing, read, then step back."
        if begins:
            return f"New run. {self._words.begins(place.run)}"
        if design.reading == "position" and place.step == (0 if back else design.closing_step(place.run)):
            way = (
                "all the way round, back at the start of the run"
                if run.arc is None
                else "back where the arc begins"
            )
            return f"Closing reading: {way}."
        return ""
