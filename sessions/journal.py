"""Appending to the session file: on the disk whole, or not at all."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from sessions.disk import Disk, words
from solver.refused import Refused


class Journal:
    """The open file of the one who writes.

    Parameters
    ----------
    disk : Disk
        The way to the operating system.
    path : Path
        The file, links resolved.
    descriptor : int
        The file, open for appending; closed by `close`.
    length : int
        Bytes of it that are known to be whole.
    """

    def __init__(self, disk: Disk, path: Path, descriptor: int, length: int) -> None:
        self.path = path
        self.length = length
        self._disk = disk
        self._descriptor = descriptor
        self._broken = ""
        self._rescued: Path | None = None

    def append(self, data: bytes, now: datetime) -> None:
        """Append `data` and return when it is on the disk.

        Parameters
        ----------
        data : bytes
            One whole entry.
        now : datetime
            For the name of a copy, where the file has been taken away meanwhile.

        Raises
        ------
        Refused
            Where anything went wrong: then the file holds what it held before.
        """
        self._refuse_unsafe(now)
        try:
            self._disk.write_all(self._descriptor, data)
            self._disk.sync(self._descriptor)
        except OSError as error:
            what, remedy = words(error)
            self._undo()
            raise Refused(f"not recorded: {what}", where=str(self.path), remedy=remedy) from error
        except BaseException:
            self._undo()
            raise
        self.length += len(data)

    def move_aside(self, tail: bytes, now: datetime) -> Path:
        """Move a cut entry at the end to a file beside this one, and return that.

        The file is shortened only after the other one is on the disk.

        Raises
        ------
        OSError
            Where that failed: then the file holds what it held before.
        """
        side = self._write_beside("cut", now, tail)
        self._disk.truncate(self._descriptor, self.length)
        self._disk.sync(self._descriptor)
        return side

    def close(self) -> None:
        """Close the file."""
        self._disk.close(self._descriptor)

    def _refuse_unsafe(self, now: datetime) -> None:
        where = str(self.path)
        if self._broken:
            raise Refused(self._broken, where=where, remedy="close the session and open it again")
        try:
            in_place, size = (
                self._disk.in_place(self._descriptor, self.path),
                self._disk.size(self._descriptor),
            )
        except OSError as error:
            what, remedy = words(error)
            raise Refused(f"not recorded: {what}", where=where, remedy=remedy) from error
        if not in_place:
            raise Refused(
                "not recorded: the file was moved, deleted or replaced while it was open",
                where=where,
                remedy=self._rescue(now),
            )
        if size != self.length:
            raise Refused(
                f"not recorded: another program changed the file ({self.length} bytes are now {size})",
                where=where,
                remedy="close the session and open it again",
            )

    def _undo(self) -> None:
        """Cut off what an append left behind; refuse everything further where even that fails."""
        try:
            self._disk.truncate(self._descriptor, self.length)
            self._disk.sync(self._descriptor)
        except OSError as error:
            why = words(error)[0]
            self._broken = f"not recorded: an earlier entry was cut short and could not be taken back ({why})"

    def _rescue(self, now: datetime) -> str:
        """Save what the open file still holds under another name, once; return the remedy."""
        try:
            if self._rescued is None or not self._rescued.exists():
                held = self._disk.read_open(self._descriptor, self.length)
                self._rescued = self._write_beside("rescued", now, held)
        except OSError as error:
            return f"put the file back; a copy could not be saved ({words(error)[0]})"
        return f"go on with {self._rescued.name}, which holds all that was recorded, or put the file back"

    def _write_beside(self, word: str, now: datetime, data: bytes) -> Path:
        stamp = f"{now:%Y%m%dT%H%M%S}"
        for number in range(1, 1000):
            more = "" if number == 1 else f"-{number}"
            path = self.path.with_name(f"{self.path.stem}.{word}-{stamp}{more}{self.path.suffix}")
            try:
                self._disk.write_new(path, data)
            except FileExistsError:
                continue
            return path
        raise FileExistsError(f"a thousand files like {path.name}")
