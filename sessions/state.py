"""What a session has come to: header, entries and matrix, one entry after another."""

from __future__ import annotations

from sessions.amend import amended, refuse_outside
from sessions.entries import Amend, Entry, Keep, Reading, Restore, Split, Strike
from sessions.entry_tables import KINDS
from sessions.header import Header
from sessions.matrix import Matrix, RunStep, Status
from sessions.transitions import Event, after
from solver.refused import Refused


class State:
    """The state after the entries so far; an entry is refused before anything changes, or applied whole."""

    def __init__(self, header: Header) -> None:
        self.entries: list[Entry] = []
        self.matrix = Matrix(header)

    @property
    def header(self) -> Header:
        """The header with all amendments so far."""
        return self.matrix.header

    @property
    def next_number(self) -> int:
        """The number of the next entry."""
        return len(self.entries) + 1

    def target(self, number: int) -> int:
        """Return what a restore of `number` names: a split itself, else the reading that is meant."""
        return number if isinstance(self._entry(number), Split) else self._reading_of(number)

    def refuse_illegal(self, entry: Entry) -> None:
        """Raise Refused where the entry is not possible now."""
        match entry:
            case Reading():
                self._refuse_outside(entry.run, entry.step)
            case Strike():
                self._after(entry.entry, "strike")
            case Keep():
                self._after(entry.entry, "keep")
            case Restore():
                if self._split_of(entry.entry) is None:
                    self._after(self._reading_of(entry.entry), "restore")
            case Split():
                self._refuse_split(entry)
            case Amend():
                header = amended(self.header, entry.field, entry.value)
                refuse_outside(self.matrix, header, entry.field)

    def apply(self, entry: Entry) -> None:
        """Let the entry happen; it must be legal."""
        matrix = self.matrix
        match entry:
            case Reading():
                matrix.add(entry)
            case Strike():
                matrix.mark(entry.entry, self._after(entry.entry, "strike"), entry.reason)
            case Keep():
                matrix.mark(entry.entry, self._after(entry.entry, "keep"), entry.reason)
            case Restore():
                place = self._split_of(entry.entry)
                if place is not None:
                    matrix.join(*place)
                else:
                    number = self._reading_of(entry.entry)
                    matrix.mark(number, self._after(number, "restore"), "")
            case Split():
                matrix.split(entry.run, entry.step)
            case Amend():
                matrix.reshape(amended(self.header, entry.field, entry.value))
        self.entries.append(entry)

    def _after(self, number: int, event: Event) -> Status:
        reading = self.matrix.reading(number)
        if reading is None:
            raise Refused(f"entry {number} is {self._named(number)}", remedy="give the number of a reading")
        return after(number, reading.status, event)

    def _named(self, number: int) -> str:
        if not 1 <= number <= len(self.entries):
            return "not there yet" if self.entries else "not there: nothing is recorded yet"
        kind = KINDS[type(self.entries[number - 1])]
        return f"of the kind {kind}, not a reading"

    def _entry(self, number: int) -> Entry | None:
        return self.entries[number - 1] if 1 <= number <= len(self.entries) else None

    def _reading_of(self, number: int) -> int:
        """Return the reading that is meant by its own number or by that of its strike or keep."""
        entry = self._entry(number)
        return entry.entry if isinstance(entry, Strike | Keep) else number

    def _split_of(self, number: int) -> RunStep | None:
        """Return the place of split `number`, or None where that entry is no split; refuse a split undone."""
        entry = self._entry(number)
        if not isinstance(entry, Split):
            return None
        place = entry.run, entry.step
        if place not in self.matrix.splits:
            raise Refused(
                f"the split of run {entry.run} at step {entry.step} is undone already",
                remedy="there is nothing to restore",
            )
        return place

    def _refuse_outside(self, run: int, step: int) -> None:
        steps = self.matrix.steps(run)
        if steps is None:
            raise Refused(
                f"there is no run {run} in the design, which has runs 0 to {len(self.matrix.count) - 1}",
                where="run",
                remedy="choose one of these, or amend design.offsets",
            )
        if step not in steps:
            raise Refused(
                f"there is no step {step} in run {run}, which has steps {steps[0]} to {steps[-1]}",
                where="step",
                remedy="choose one of these",
            )

    def _refuse_split(self, entry: Split) -> None:
        self._refuse_outside(entry.run, entry.step)
        if self.header.design.reading != "position":
            raise Refused('a run by "interval" has no constant to split', remedy="strike the bad readings")
        if entry.step == self.header.design.first_step:
            raise Refused(
                f"a run cannot be split at its first step {entry.step}",
                where="step",
                remedy="choose a later one",
            )
        if (entry.run, entry.step) in self.matrix.splits:
            raise Refused(
                f"run {entry.run} is split at step {entry.step} already",
                remedy="restore that split to undo it",
            )
