"""The practice bench of a session: what its simulated instrument shows, now and at every reading so far."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

from sessions.contents import contents
from sessions.disk import refusal
from sessions.entries import Amend, Entry, Reading, Strike
from sessions.equipment import Instrument
from sessions.flow import SLIP
from sessions.header import Header, read_header
from sessions.practice.parameters import Parameters, parameters_of
from sessions.practice.slips import Slip, Slips, resolution_of, rounded
from sessions.practice.stack import Stack
from sessions.session import Session
from sessions.stack_place import RETYPED
from solver.refused import Refused
from solver.slips import decimals


@dataclass(frozen=True, slots=True)
class Shown:
    """What stood on the instrument, or was called out, in the unit typed.

    Parameters
    ----------
    value : float
        What the learner was shown.
    right : float
        What would have been shown without a slip.
    slip : Slip or None
        The slip that makes the difference.
    """

    value: float
    right: float
    slip: Slip | None


@dataclass(frozen=True, slots=True)
class Taken:
    """A reading of the session and what was shown for it."""

    reading: Reading
    shown: Shown


class PracticeBench:
    """A session's simulated stack, set wherever the prompt says.

    Parameters
    ----------
    session : Session
        A simulated one.

    Raises
    ------
    Refused
        Where the session is not simulated, or its file is gone.
    """

    def __init__(self, session: Session) -> None:
        parameters = parameters_of(session.entries)
        if parameters is None:
            raise Refused(
                "this session is not simulated",
                where=str(session.path),
                remedy="“fullturn practice” begins one that is",
            )
        self.parameters: Parameters = parameters
        self.instrument: Instrument = _as_begun(session)
        self._session = session
        self._header: Header | None = None
        self._visits = _Visits()
        self._seen = 0
        self._taken: dict[int, Taken] = {}
        self._suggested: dict[tuple[int, int], Shown] = {}

    @property
    def stack(self) -> Stack:
        """The stack with its true errors."""
        self._follow()
        return self._stack

    @property
    def slips(self) -> Slips:
        """What the assistant does wrong."""
        self._follow()
        return self._slips

    def shows(self, run: int, step: int) -> Shown:
        """Return what is shown at a setting if it is read now."""
        self._catch_up()
        return self._shown(run, step, self._visits.next_at(run, step))

    @property
    def decimals(self) -> int:
        """Digits after the point of a reading."""
        return decimals(resolution_of(self.stack))

    @property
    def taken(self) -> tuple[Taken, ...]:
        """Every reading so far with what was shown for it, struck ones too, in the order typed."""
        self._catch_up()
        return tuple(self._taken.values())

    def _follow(self) -> None:
        """Follow an amended plan; the instrument stays what it was, whatever is amended of it."""
        if self._session.header is not self._header:
            self._header = self._session.header
            self._stack = Stack(replace(self._header, instrument=self.instrument), self.parameters)
            self._slips = Slips(self._stack)

    def _catch_up(self) -> None:
        self._follow()
        entries: Sequence[Entry] = self._session.entries
        for entry in entries[self._seen :]:
            if isinstance(entry, Reading):
                self._take(entry)
            elif isinstance(entry, Strike) and entry.entry in self._taken:
                self._strike(self._taken[entry.entry], entry.reason)
        self._seen = len(entries)

    def _take(self, reading: Reading) -> None:
        place = reading.run, reading.step
        shown = self._suggested.pop(place, None)
        if shown is None:
            shown = self._shown(*place, self._visits.next_at(*place))
            self._visits.count(*place, first=self._first(reading.run))
        self._taken[reading.number] = Taken(reading, shown)

    def _strike(self, taken: Taken, reason: str) -> None:
        place = taken.reading.run, taken.reading.step
        if reason.startswith(RETYPED):
            # What is suggested is typed at once, without reading again.
            self._suggested[place] = Shown(taken.shown.right, taken.shown.right, None)
        elif reason == SLIP and taken.shown.slip is None:
            self._visits.stay(*place)
        else:
            self._visits.leave(*place)

    def _first(self, run: int) -> int:
        return self._stack.header.design.order_of(run)[0]

    def _shown(self, run: int, step: int, visit: _Visit) -> Shown:
        value = self._stack.reading(run, step, visit.seating, visit.repeat)
        right = rounded(value, self._stack)
        slip = self._slips.at(run, step)
        knock = 0.0 if visit.restarted else self._slips.knock(run, step)
        if knock:
            knocked = next(each for each in self._slips.of_run(run) if each.kind == "knocked")
            return Shown(rounded(value + knock, self._stack), right, knocked)
        # A misreading happens once; a wrong setting stays for all the readings of its seating.
        if slip is None or slip.kind == "knocked" or visit.seating:
            return Shown(right, right, None)
        if visit.repeat and slip.kind != "neighbour":
            return Shown(right, right, None)
        wrong = self._slips.misread(slip, right)
        return Shown(right, right, None) if wrong is None else Shown(wrong, right, slip)


def _as_begun(session: Session) -> Instrument:
    """Return the instrument as it was before any amendment: what one says of it does not change what it shows."""
    fields = (entry.field for entry in session.entries if isinstance(entry, Amend))
    if not any(field.startswith("instrument") for field in fields):
        return session.header.instrument
    try:
        data = session.path.read_bytes()
    except OSError as error:
        raise refusal(error, str(session.path)) from error
    return read_header(contents(data, session.path.name).header).instrument


@dataclass(frozen=True, slots=True)
class _Visit:
    """Which seating of its cell a reading is, which repeat in it, and whether its run was begun anew."""

    seating: int
    repeat: int
    restarted: bool


class _Visits:
    """Which seating of its cell, and which repeat in it, each reading is.

    Repeats typed one after the other are of one seating. A cell that one comes back to, or one of which a
    reading was struck, is set anew.
    """

    def __init__(self) -> None:
        self._seatings: Counter[tuple[int, int]] = Counter()
        self._restarts: Counter[int] = Counter()
        self._here: tuple[int, int] | None = None
        self._repeats = 0

    def next_at(self, run: int, step: int) -> _Visit:
        """Return what a reading taken at a cell now would be."""
        here = (run, step) == self._here
        seating, repeat = self._seatings[run, step] - here, self._repeats if here else 0
        return _Visit(seating, repeat, self._restarts[run] > 1)

    def stay(self, run: int, step: int) -> None:
        """Let the reading taken last at a cell be read once more, as it stands on the instrument."""
        if (run, step) == self._here and self._repeats:
            self._repeats -= 1

    def leave(self, run: int, step: int) -> None:
        """Set the stack anew before the next reading at a cell."""
        if (run, step) == self._here:
            self._here = None

    def count(self, run: int, step: int, *, first: int) -> None:
        """Count a reading; the run begins at step `first`."""
        if (run, step) == self._here:
            self._repeats += 1
            return
        self._here, self._repeats = (run, step), 1
        self._seatings[run, step] += 1
        self._restarts[run] += step == first
