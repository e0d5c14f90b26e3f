"""Opening and beginning session files: for one writer, for everybody else to read."""

from __future__ import annotations

import os
from contextlib import ExitStack
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from sessions.blocks import header_text
from sessions.disk import Disk, refusal, words
from sessions.header import FORMAT, Header, header_table, read_header
from sessions.journal import Journal
from sessions.lock import Lock, take_lock
from sessions.parse import Parsed, parse
from solver.refused import Refused

#: A session with every step and offset of the largest circle is smaller; what is larger is something else.
_LARGEST = 1 << 30


@dataclass(frozen=True, slots=True)
class Opened:
    """A file that was opened.

    Parameters
    ----------
    parsed : Parsed
        What it holds.
    journal, lock : Journal, Lock or None
        For the one who writes.
    read_only : str
        Empty for the one who writes; else in words why it cannot be written.
    notices : tuple of str
        What a person should know about the file.
    """

    parsed: Parsed
    journal: Journal | None = None
    lock: Lock | None = None
    read_only: str = ""
    notices: tuple[str, ...] = ()

    def release(self) -> None:
        """Close the file and give the lock back."""
        if self.journal is not None:
            self.journal.close()
        if self.lock is not None:
            self.lock.release()


def read_file(path: Path, disk: Disk, read_only: str = "the file was opened for reading only") -> Opened:
    """Open a file for reading only, and leave everything as it is."""
    parsed = parse(_bytes(path, disk), str(path))
    notices: tuple[str, ...] = ()
    if parsed.tail:
        notices = (
            f"The file ends in a cut entry after entry {len(parsed.state.entries)}; "
            f"it is not counted and was left where it is ({len(parsed.tail)} bytes).",
        )
    return Opened(parsed, read_only=read_only, notices=notices)


def open_file(path: Path, disk: Disk, now: datetime) -> Opened:
    """Open a file for writing, or for reading only where that cannot be."""
    raw = _bytes(path, disk)
    if FORMAT.encode() not in raw:
        parse(raw, str(path))  # refuses it, before a lock file is laid beside it
    real = Path(os.path.realpath(path))
    lock = take_lock(real, disk, now)
    if isinstance(lock, str):
        return read_file(path, disk, lock)
    with ExitStack() as undo:
        undo.callback(lock.release)
        try:
            descriptor = disk.open(real)
        except OSError as error:
            return read_file(path, disk, f"the file cannot be written: {words(error)[0]}")
        undo.callback(disk.close, descriptor)
        parsed = parse(disk.read_open(descriptor, disk.size(descriptor)), str(path))
        journal = Journal(disk, real, descriptor, parsed.length)
        notices: tuple[str, ...] = ()
        if parsed.tail:
            try:
                side = journal.move_aside(parsed.tail, now)
            except OSError as error:
                why = f"the cut entry at its end could not be moved aside: {words(error)[0]}"
                return read_file(path, disk, why)
            notices = (
                f"The file ended in a cut entry after entry {len(parsed.state.entries)}; it is not counted "
                f"and was moved to {side.name} ({len(parsed.tail)} bytes). Take that reading again.",
            )
        undo.pop_all()
        return Opened(parsed, journal, lock, notices=notices)


def create(path: Path, header: Header, disk: Disk, now: datetime) -> Opened:
    """Begin a file with a header, and open it for writing."""
    data = header_text(read_header(header_table(header))).encode()
    real = Path(os.path.realpath(path))
    try:
        real.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise refusal(error, str(path.parent), "choose another folder") from error
    if real.exists():
        raise _there_already(path)
    lock = take_lock(real, disk, now)
    if isinstance(lock, str):
        raise Refused(f"the session cannot be begun: {lock}", where=str(path), remedy="choose another name")
    with ExitStack() as undo:
        undo.callback(lock.release)
        try:
            disk.write_new(real, data)
            descriptor = disk.open(real)
        except FileExistsError:
            raise _there_already(path) from None
        except OSError as error:
            raise refusal(error, str(path), "put that right or choose another folder") from error
        parsed = parse(data, str(path))
        undo.pop_all()
        return Opened(parsed, Journal(disk, real, descriptor, parsed.length), lock)


def _there_already(path: Path) -> Refused:
    return Refused("the file is there already", where=str(path), remedy="choose another name, or open it")


def _bytes(path: Path, disk: Disk) -> bytes:
    """Return the bytes of a file, which may not be absurdly large."""
    try:
        if path.exists() and not path.is_file():
            raise Refused("this is not a file", where=str(path), remedy="name a session file")
        if path.exists() and path.stat().st_size > _LARGEST:
            raise Refused("the file is far too large for a session", where=str(path), remedy="check the name")
        return disk.read(path)
    except OSError as error:
        raise refusal(error, str(path)) from error
    except ValueError:  # a name with a null character
        raise Refused("this cannot be the name of a file", where=repr(str(path)), remedy="check it") from None
