"""A session made from a table: recorded whole, or not at all."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from pathlib import Path

from sessions.clock import Clock, local_time
from sessions.disk import Disk, refusal
from sessions.import_table import Understood
from sessions.import_words import note_words
from sessions.output import refuse_existing
from sessions.session import Session

#: What is said to do about a file that is there already.
ANOTHER_NAME = "choose another name"


def read_table(path: Path) -> bytes:
    """Return the bytes of a table.

    Raises
    ------
    Refused
        Where the file cannot be read.
    """
    try:
        return path.read_bytes()
    except OSError as error:
        raise refusal(error, str(path)) from error


def record_table(
    found: Understood,
    path: Path,
    *,
    date: datetime | None = None,
    clock: Clock = local_time,
) -> int:
    """Make a session of a table, in a new file: a note of where it is from, then its readings.

    Parameters
    ----------
    found : Understood
        The table.
    path : Path
        The new file.
    date : datetime or None
        When the readings were taken, with its offset from UTC; by default the time of the import stands for it.
    clock : callable
        The time now.

    Returns
    -------
    int
        Readings recorded.

    Raises
    ------
    Refused
        Where the file is there already or cannot be written; then nothing is left behind.
    """
    refuse_existing(path, overwrite=False, remedy=ANOTHER_NAME)
    now = clock()
    time = now if date is None else date
    words = (
        f"that of the import, {now:%Y-%m-%d}, stands for them"
        if date is None
        else f"{date:%Y-%m-%d} was given, imported {now:%Y-%m-%d}"
    )
    header = replace(found.header, created=time)
    once = _SyncOnce()
    session = Session.create(path, header, clock=lambda: time, disk=once)
    try:
        with session:
            once.hold = True
            session.note(note_words(found, words))
            for reading in found.readings:
                session.take(reading.run, reading.step, reading.value)
            once.release()
    except BaseException as error:
        path.unlink(missing_ok=True)
        if isinstance(error, OSError):
            raise refusal(error, str(path)) from error
        raise
    return len(found.readings)


class _SyncOnce(Disk):
    """A disk on which many entries are made safe at once: nothing is said to be taken before that."""

    def __init__(self) -> None:
        self.hold = False
        self._waiting: int | None = None

    def sync(self, descriptor: int) -> None:
        if self.hold:
            self._waiting = descriptor
        else:
            super().sync(descriptor)

    def release(self) -> None:
        """Sync what waits."""
        self.hold = False
        if self._waiting is not None:
            super().sync(self._waiting)
            self._waiting = None
