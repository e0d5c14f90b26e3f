"""The flow of the bench: a reading typed, taken into the record, struck, or put right."""

from __future__ import annotations

from collections import deque
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from enum import Enum

from sessions.air import read_air
from sessions.bench import Place
from sessions.bench_place import BenchPlace
from sessions.entries import Reading, Split, Strike
from sessions.flags import OF_A_RUN, acceptable
from sessions.matrix import CellReading
from sessions.pace import RECENT, seconds_left
from sessions.session import Session
from sessions.stack_place import RETYPED, retyped
from sessions.typed import read_column, read_number
from solver.flags import Flag
from solver.refused import Refused

#: Reason of a strike made by one key right after typing.
SLIP = "typing slip"

#: Reason of a split.
KNOCKED = "mirror knocked"


class Fill(Enum):
    """How a column goes into cells in which several readings are planned."""

    TOGETHER = "the repeats of a cell one after the other"
    EACH = "one reading for each cell"


@dataclass(frozen=True, slots=True)
class Took:
    """What was taken: the readings, and the place that the bench goes to now (None when all is done)."""

    readings: tuple[Reading, ...]
    place: Place | None


class Flow(BenchPlace):
    """One session at the bench: what a keystroke does to the record, and where that leads.

    Parameters
    ----------
    session : Session
        Open for writing, or read-only.
    """

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        times = (entry.time for entry in session.entries if isinstance(entry, Reading))
        self._times: deque[datetime] = deque(times, maxlen=RECENT)

    def enter(self, text: str) -> Took:
        """Take a typed reading at the present place and move on.

        Raises
        ------
        Refused
            If the text is not a number or the record cannot be written; nothing is then taken.
        """
        return self._take((read_number(text),), [self.place])

    def fills(self, text: str) -> tuple[Fill, ...]:
        """Return the ways in which a pasted column can go into the run from the present place on.

        Raises
        ------
        Refused
            If a line is not a number or the column is longer than the rest of the run.
        """
        count = len(read_column(text))
        targets = {fill: self._targets(fill) for fill in Fill}
        fitting = tuple(fill for fill, places in targets.items() if count <= len(places))
        if not fitting:
            room = max(map(len, targets.values()))
            raise Refused(
                f"{count} numbers pasted, and the run has room for {room} from here",
                where=f"run {self.place.run}, step {self.place.step}",
                remedy="nothing was taken; paste the readings of one run",
            )
        alike = len({tuple(targets[fill][:count]) for fill in fitting}) == 1
        return fitting[:1] if alike else fitting

    def paste(self, text: str, fill: Fill | None = None) -> Took:
        """Take a pasted column from the present place on, as if typed one by one.

        Parameters
        ----------
        text : str
            One number a line.
        fill : Fill, optional
            One of `fills`; without it the first of them.

        Raises
        ------
        Refused
            As `fills` does, or if it cannot go in this way: nothing is taken. If the record cannot be written half-way,
            what was taken stays.
        """
        fitting = self.fills(text)
        if fill is not None and fill not in fitting:
            raise Refused(
                f"the column does not fit with {fill.value}",
                remedy="nothing was taken; paste it the other way",
            )
        fill = fill or fitting[0]
        values, places = read_column(text), self._targets(fill)
        took = self._take(values, places)
        if fill is Fill.EACH and self.next is not None:
            # The next column goes on where this one ends, or takes the repeats of the run from its beginning.
            self.place = places[len(values)] if len(values) < len(places) else self._first_lacking()
        return replace(took, place=self.place)

    def undo(self) -> int | None:
        """Strike the reading taken last, as a typing slip, and go back to its cell.

        Returns
        -------
        int or None
            Entry of the reading that counts again: what was typed before it was put right as suggested. None where the
            reading is to be typed again.

        Raises
        ------
        Refused
            If there is no accepted reading to take back.
        """
        last, entries = self.session.matrix.last, self.session.entries
        if last is None:
            raise Refused("there is no reading to take back", remedy="type one first")
        reading = self.session.matrix.reading(last.number)
        if reading is not None and not reading.counts:
            raise Refused(
                "the reading typed last is struck already",
                remedy="to strike another one, go to it and press s",
            )
        index = next(i for i in range(len(entries) - 1, -1, -1) if entries[i].number == last.number)
        meant = retyped(entries, index)
        self.strike(last.number, SLIP)
        if meant is None:
            return None
        self.restore(meant.entry)
        return meant.entry

    def strike(self, number: int, reason: str) -> None:
        """Strike a reading; the bench goes to its cell if it was the last one taken, or all had been read."""
        last, done = self.session.matrix.last, self.next is None
        self.session.strike(number, reason)
        if last is not None and last.number == number:
            self.place = Place(last.run, last.step)
        self.look_ahead()
        if done and self.next is not None:
            self.place = self.next

    def strike_all(self, numbers: Iterable[int], reason: str) -> None:
        """Strike several readings of a cell for one reason, as `strike` does one.

        Raises
        ------
        Refused
            If one does not count, or the record cannot be written half-way; what was struck until then stays struck.
        """
        for number in sorted(numbers):
            self.strike(number, reason)

    def restore(self, *numbers: int) -> None:
        """Restore struck readings.

        Raises
        ------
        Refused
            If one is not struck, or the record cannot be written half-way; what was restored until then counts.
        """
        try:
            for number in sorted(numbers):
                self.session.restore(number)
        finally:
            self.look_ahead()

    def accept(self, flag: Flag) -> Reading:
        """Strike a suspected reading and take what it would have been without the slip that explains it.

        Raises
        ------
        Refused
            If nothing is suggested for that reading, or the record cannot be written.
        """
        if not acceptable(flag, self.session.header) or flag.suggested_typed is None:
            what = f"run {flag.run}" if flag.suggestion in OF_A_RUN else "the reading"
            raise Refused(
                "what was meant cannot be told from what was typed", remedy=f"strike {what} and take it again"
            )
        self.session.strike(flag.entry, f"{RETYPED}: {flag.suggestion}")
        try:
            return self.session.take(flag.run, flag.step, flag.suggested_typed)
        finally:
            self.look_ahead()

    def keep(self, number: int, reason: str) -> None:
        """Keep a suspected reading on purpose: it leaves the list of suspects."""
        self.session.keep(number, reason)

    def strike_run(self, run: int, reason: str) -> int:
        """Strike every reading of a run that counts; return how many that were.

        The bench begins the run anew if it stands in it, or once it has come to the end.

        Raises
        ------
        Refused
            If none counts, or the record cannot be written half-way; what was struck until then stays struck.
        """
        numbers = [reading.number for reading in self.readings_of(run) if reading.counts]
        if not numbers:
            raise Refused(f"run {run} has no reading to strike", remedy="go to another run")
        try:
            for number in sorted(numbers):
                self.session.strike(number, reason)
        finally:
            self.look_ahead()
            if self.next is not None and self.next.run == run:
                self.place = self.next
        return len(numbers)

    def restore_run(self, run: int) -> int:
        """Restore the readings of a run that were struck last, in a row and for one reason; return how many those were.

        Slips that had been struck before stay struck.

        Raises
        ------
        Refused
            If none is struck, or the record cannot be written half-way; what was restored until then counts.
        """
        struck = {reading.number for reading in self.readings_of(run) if not reading.counts}
        if not struck:
            raise Refused(f"run {run} has no struck reading", remedy="go to another run")
        numbers = self._struck_last(struck)
        self.restore(*numbers)
        return len(numbers)

    def _struck_last(self, struck: Collection[int]) -> list[int]:
        """Return which of some struck readings were struck last, in a row and for one reason."""
        strikes = [
            entry
            for entry in reversed(self.session.entries)
            if isinstance(entry, Strike) and entry.entry in struck
        ]
        last = strikes[0]
        return [
            strike.entry
            for place, strike in enumerate(strikes)
            if strike.reason == last.reason and strike.number == last.number - place
        ]

    def readings_of(self, run: int) -> list[CellReading]:
        """Return the readings of a run, struck ones too, step by step."""
        matrix = self.session.matrix
        return [
            reading
            for step in self.session.header.design.steps_of(run)
            for reading in matrix.readings(run, step)
        ]

    def split(self, run: int, step: int) -> None:
        """Give the run a constant of its own from `step` on: the mirror was knocked before it."""
        self.session.split(run, step, KNOCKED)

    def unsplit(self, run: int, step: int) -> None:
        """Undo a split.

        Raises
        ------
        Refused
            If the run is not split there.
        """
        for entry in reversed(self.session.entries):
            if isinstance(entry, Split) and (entry.run, entry.step) == (run, step):
                self.session.restore(entry.number)
                return
        raise Refused(f"run {run} is not split at step {step}", remedy="go to the cell where it is split")

    def conditions(self, text: str) -> None:
        """Note the state of the air as typed, see `sessions.air.read_air`; refused, nothing is noted."""
        air = read_air(text)
        self.session.conditions(air.temperature, air.pressure, air.humidity, air.remark)

    def seconds_left(self) -> float | None:
        """Return the time that the rest will take at the present pace; None while there is no pace."""
        return seconds_left(tuple(self._times), self.remaining())

    def _take(self, values: tuple[float, ...], places: Sequence[Place]) -> Took:
        taken = []
        for value, place in zip(values, places, strict=False):
            reading = self.session.take(place.run, place.step, value)
            taken.append(reading)
            self._times.append(reading.time)
            self.opened = False
            self.place = place
            self.look_ahead()
        if self.next is not None:
            self.place = self.next
        return Took(tuple(taken), self.next)

    def _first_lacking(self) -> Place:
        """Return the first cell of the present run that lacks readings, else where the bench goes next."""
        repeats, count = self.session.header.design.repeats, self.session.matrix.count
        lacking = (
            place
            for place in self.bench.places()
            if place.run == self.place.run and count[place.run, place.step] < repeats
        )
        return next(lacking, self.next or self.place)

    def _targets(self, fill: Fill) -> list[Place]:
        """Return the cells of the run, from the present place on, that readings go to one after the other."""
        design, count = self.session.header.design, self.session.matrix.count
        targets = list[Place]()
        place: Place | None = self.place
        while place is not None and place.run == self.place.run:
            lacking = max(design.repeats - int(count[place.run, place.step]), 0)
            if place == self.place:
                # A further repeat can go into the cell that one stands on.
                lacking = max(lacking, 1)
            targets += [place] * (min(lacking, 1) if fill is Fill.EACH else lacking)
            place = self.bench.following(place)
        return targets
