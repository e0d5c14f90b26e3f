"""Where a session at the bench is: where the stack stands, which cell is read, and what comes next, in words."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace

from sessions.bench import Bench, Instruction, Place
from sessions.counted import counted
from sessions.sentences import capital
from sessions.session import Session
from sessions.stack_place import stack_place

#: Said where the present place is not where the stack stands or goes next.
ELSEWHERE = "The stack stands elsewhere: set it anew."
#: Said where the next repeat is to be read and nobody knows how long ago the last one was.
LOOK = "Check that it still stands so: the same setting again."
#: Said at a cell of a run whose zero ended when another was begun.
ZERO_GONE = "The zero of this run is gone: leave it as it is, or S and read it again."


class BenchPlace:
    """Where one session at the bench is.

    `at` is where the stack stands: where a reading was read last. `place` is the cell that a typed reading goes to; it
    follows the bench unless a person moves it. `next` is what the bench does next, counted from `at`, so that a look
    at another cell, or a strike there, does not lead the bench away from its run.

    Parameters
    ----------
    session : Session
        Open for writing, or read-only.
    """

    def __init__(self, session: Session) -> None:
        self.session = session
        self.bench = Bench(session.header)
        self.look_ahead()
        self.place: Place = self.next or self.at or self.bench.places()[0]
        #: Whether nothing was read since the session was opened: nobody knows how long ago the last reading was.
        self.opened = True

    def move(self, run: int, step: int) -> None:
        """Stand at a cell, or the nearest one of its run: what is typed now goes there."""
        steps = self.session.header.design.steps_of(run)
        self.place = Place(run, min(max(step, steps[0]), steps[-1]))

    def look_ahead(self) -> None:
        """Work out from the record where the stack stands and what the bench does next."""
        matrix = self.session.matrix
        self.at: Place | None = stack_place(self.session.entries, matrix, self.bench)
        self.next: Place | None = self.bench.next_after(self.at, matrix.count)

    def header_changed(self) -> None:
        """Follow an amended plan, to where it goes on if all was done before."""
        done = self.next is None
        self.bench = Bench(self.session.header)
        places = self.bench.places()
        self.look_ahead()
        if self.place not in places or (done and self.next is not None):
            self.place = self.next or places[0]

    def instruction(self) -> Instruction:
        """Say what to set at the present place, or that all is done."""
        if self.next is None:
            return self._done()
        taken = int(self.session.matrix.count[self.place.run, self.place.step])
        instruction = self.bench.instruction(self.place, taken)
        if not self.bench.in_reach(self.place.run, self.at, self.session.matrix.count):
            return replace(instruction, first=ZERO_GONE)
        leaves = self._leaves_behind()
        if leaves:
            return replace(instruction, first=f"{leaves} {instruction.first}")
        if self.opened and taken and self.place == self.at:
            return replace(instruction, first=LOOK)
        if self._stands_ready() or (instruction.first and not taken):
            return instruction
        return replace(instruction, first=ELSEWHERE)

    def done_words(self) -> str:
        """Return in a sentence or two that nothing is left to do, "" where something is."""
        if self.next is not None:
            return ""
        done = self._done()
        return " ".join(
            f"{words.rstrip('.')}." for words in (done.set_to, capital(done.where), done.first) if words
        )

    def _done(self) -> Instruction:
        """Say that nothing is left to do, or what was left out on the way."""
        lost = self.left_out()
        if not lost:
            return Instruction("All planned readings are taken", self._repeats_can_go(), "")
        return Instruction(
            f"All is read but {counted(sum(lost.values()), 'reading')}",
            f"{_cells_words(lost)}: the zero is gone",
            "Leave out what is missing, or S there and read the run again.",
        )

    def _repeats_can_go(self) -> str:
        count, runs = self.session.matrix.count, range(self.session.header.design.run_count)
        if self.at is None or all(self.bench.in_reach(run, self.at, count) for run in runs):
            return "A repeat can still go into any cell."
        return f"A repeat can still go into run {self.at.run}."

    def _leaves_behind(self) -> str:
        """Say what will be missing of the run that the stack stands in, "" unless another one is about to begin."""
        if self.at is None or self.place.run == self.at.run:
            return ""
        lost = self.bench.left_out(self.place, self.session.matrix.count)
        missing = [place for place in lost if place.run == self.at.run]
        return f"{capital(_cells_words(missing))}: now or never." if missing else ""

    def _stands_ready(self) -> bool:
        """Return whether the stack stands at the present place, or where the bench comes from to it."""
        return self.at is None or self.place in (self.at, self.bench.following(self.at))

    def remaining(self) -> int:
        """Return how many planned readings are still to be taken."""
        return self.lacking() - sum(self.left_out().values())

    def lacking(self) -> int:
        """Return how many planned readings are not there, those left out for good too."""
        return self.bench.lacking(self.session.matrix.count)

    def left_out(self) -> dict[Place, int]:
        """Return how many planned readings of each cell can no longer be taken, as the zero of its run is gone."""
        return self.bench.left_out(self.at, self.session.matrix.count)


def _cells_words(places: Collection[Place]) -> str:
    """Return cells as "run 1 step 3", or their run, or runs, where they are several."""
    runs = sorted({place.run for place in places})
    if len(places) == 1:
        return " and ".join(f"run {place.run} step {place.step}" for place in places)
    if len(runs) == 1:
        steps = sorted(place.step for place in places)
        return (
            f"run {runs[0]} steps {', '.join(map(str, steps))}"
            if len(steps) < 5
            else f"{len(steps)} steps of run {runs[0]}"
        )
    return f"runs {', '.join(map(str, runs))}"
