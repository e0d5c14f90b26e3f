"""A session: its file, and everything that can be done to it."""

from __future__ import annotations

import os
import zlib
from collections.abc import Mapping
from datetime import datetime
from pathlib import Path
from types import TracebackType
from typing import Any, Self, TypeVar

from sessions.blocks import check_text, end_text, entry_text
from sessions.clock import Clock, local_time
from sessions.disk import Disk
from sessions.entries import Amend, Conditions, Entry, Keep, Note, Reading, Restore, Setup, Split, Strike
from sessions.entry_tables import entry_table, read_entry
from sessions.header import Header
from sessions.matrix import Matrix
from sessions.opening import Opened, create, open_file, read_file
from sessions.plain import moment, number, plain, text, whole
from sessions.toml_text import refuse_unreadable
from solver.refused import Refused

_E = TypeVar("_E", bound=Entry)


class Session:
    """A session file and what it has come to.

    Made by `Session.create`, `Session.open` or `Session.read`. Each method that records something returns
    after its entry is on the disk, or raises Refused with nothing changed, neither here nor in the file.
    """

    def __init__(self, path: Path, opened: Opened, clock: Clock) -> None:
        self._path = path
        self._opened = opened
        self._clock = clock
        self._state = opened.parsed.state
        self._crc = opened.parsed.crc
        self._notices = list(opened.notices)
        self._closed = False

    @classmethod
    def create(
        cls,
        path: str | os.PathLike[str],
        header: Header,
        *,
        clock: Clock = local_time,
        disk: Disk | None = None,
    ) -> Self:
        """Begin a session in a new file, open for writing; folders above it are made.

        Raises
        ------
        Refused
            Where the file is there already, cannot be written, or the header is not valid.
        """
        opened = create(Path(path), header, disk or Disk(), moment(clock()))
        return cls(Path(path), opened, clock)

    @classmethod
    def open(
        cls, path: str | os.PathLike[str], *, clock: Clock = local_time, disk: Disk | None = None
    ) -> Self:
        """Open a session file for writing; read-only where another one writes it or it cannot be written.

        A cut last entry is moved to a file beside it, and a notice says so.

        Raises
        ------
        Refused
            Where the file cannot be read or anything else is wrong with it; it is then left untouched.
        """
        return cls(Path(path), open_file(Path(path), disk or Disk(), moment(clock())), clock)

    @classmethod
    def read(cls, path: str | os.PathLike[str], *, disk: Disk | None = None) -> Self:
        """Open a session file for reading only: nothing is locked, moved or written.

        Raises
        ------
        Refused
            Where the file cannot be read or anything but a cut last entry is wrong with it.
        """
        return cls(Path(path), read_file(Path(path), disk or Disk()), local_time)

    @property
    def path(self) -> Path:
        """The file, as it was named."""
        return self._path

    @property
    def header(self) -> Header:
        """The header with all amendments so far."""
        return self._state.header

    @property
    def entries(self) -> tuple[Entry, ...]:
        """All entries in the order recorded; entry N is at index N - 1."""
        return tuple(self._state.entries)

    @property
    def recorded(self) -> int:
        """Number of entries; a screen asks for it at every reading, so nothing is copied."""
        return len(self._state.entries)

    @property
    def matrix(self) -> Matrix:
        """The reading matrix; it changes with each entry."""
        return self._state.matrix

    @property
    def read_only(self) -> str:
        """In words why nothing can be recorded, as who has the file open; empty for the one who writes."""
        return self._opened.read_only

    @property
    def notices(self) -> tuple[str, ...]:
        """What a person should know: a cut entry that was set aside, a clock that went back."""
        return tuple(self._notices)

    def take(self, run: int, step: int, value: float) -> Reading:
        """Record a reading.

        Parameters
        ----------
        run, step : int
            The cell, which must lie in the design; a closing reading is at step n.
        value : float
            As typed, in the instrument's unit.

        Returns
        -------
        Reading
            As it now stands in the file.

        Raises
        ------
        Refused
            Where the cell or value will not do, or the file cannot be written; then nothing has changed.
        """
        place = whole(run, "run"), whole(step, "step")
        return self._record(Reading(*self._frame(), *place, number(value, "value")))

    def strike(self, number: int, reason: str) -> Strike:
        """Let reading `number` count no longer; the reason must not be empty."""
        return self._record(Strike(*self._frame(), whole(number, "entry"), text(reason)))

    def restore(self, number: int, reason: str = "") -> Restore:
        """Undo a strike, keep or split: `number` is that of the reading, or of the entry to undo."""
        target = self._state.target(whole(number, "entry"))
        return self._record(Restore(*self._frame(), target, text(reason)))

    def keep(self, number: int, reason: str) -> Keep:
        """Keep reading `number` on purpose although it was flagged; the reason must not be empty."""
        return self._record(Keep(*self._frame(), whole(number, "entry"), text(reason)))

    def split(self, run: int, step: int, reason: str) -> Split:
        """Give a run another constant from `step` on: the mirror was knocked just before it."""
        place = whole(run, "run"), whole(step, "step")
        return self._record(Split(*self._frame(), *place, text(reason)))

    def note(self, words: str) -> Note:
        """Record a note, which must not be empty."""
        return self._record(Note(*self._frame(), text(words)))

    def conditions(
        self,
        temperature: float | None = None,
        pressure: float | None = None,
        humidity: float | None = None,
        remark: str = "",
    ) -> Conditions:
        """Record temperature (°C), pressure (hPa), humidity (%) and a remark, at least one of them."""
        given = {"temperature": temperature, "pressure": pressure, "humidity": humidity}
        known = {key: number(value, key) for key, value in given.items() if value is not None}
        values = known.get("temperature"), known.get("pressure"), known.get("humidity")
        return self._record(Conditions(*self._frame(), *values, text(remark)))

    def amend(self, field: str, value: Any, reason: str) -> Amend:
        """Change a header field, as "title" or "design.offsets", to a value as in the file, for a reason.

        The header in the file stays as it is; readings taken must lie inside the design as amended.
        """
        return self._record(Amend(*self._frame(), field, plain(value), text(reason)))

    def setup(self, worksheet: str, result: Mapping[str, Any]) -> Setup:
        """Record what a setup worksheet gave."""
        return self._record(Setup(*self._frame(), worksheet, plain(result)))

    def close(self) -> None:
        """Give up the file and the right to write it; there is nothing to save. Twice does no harm."""
        if not self._closed:
            self._closed = True
            self._opened.release()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def _frame(self) -> tuple[int, datetime]:
        return self._state.next_number, moment(self._clock())

    def _record(self, entry: _E) -> _E:
        """Refuse the entry, or put it on the disk and then into the state."""
        journal = self._opened.journal
        if journal is None:
            raise Refused(
                f"nothing can be recorded: {self.read_only}",
                remedy="put that right, then open the file again",
            )
        if self._closed:
            raise Refused("the session is closed", where=str(self.path), remedy="open it again")
        table = entry_table(entry)
        read_entry(table | {"end": entry.number}, entry.number)
        self._state.refuse_illegal(entry)
        before = self._state.entries[-1] if self._state.entries else None
        block = entry_text(table).encode()
        refuse_unreadable(block)
        crc = zlib.crc32(block, self._crc)
        closing = (check_text(crc) + end_text(entry.number)).encode()
        journal.append(block + closing, entry.time)
        self._crc = zlib.crc32(closing, crc)
        self._state.apply(entry)
        if before is not None and entry.time < before.time:
            self._notices.append(
                f"The computer's clock went back: entry {entry.number} is of {entry.time:%Y-%m-%d %H:%M:%S}, "
                f"entry {before.number} of {before.time:%Y-%m-%d %H:%M:%S}. It is recorded all the same."
            )
        return entry
