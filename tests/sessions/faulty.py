"""A disk that fails when it is told to."""

from __future__ import annotations

import errno
from pathlib import Path

from sessions.disk import Disk

FULL = OSError(errno.ENOSPC, "No space left on device")
BROKEN = OSError(errno.EIO, "Input/output error")


class FaultyDisk(Disk):
    """A disk that fails at the calls chosen, having written `partly` bytes of what it was given."""

    def __init__(self) -> None:
        self.fail: dict[str, BaseException] = {}
        self.partly = 0
        self.calls = 0
        self.at = -1

    def _call(self, name: str) -> None:
        if name in self.fail:
            self.calls += 1
            if self.at in (-1, self.calls - 1):
                raise self.fail[name]

    def write(self, descriptor: int, data: bytes) -> int:
        try:
            self._call("write")
        except BaseException:
            super().write(descriptor, data[: self.partly])
            raise
        return super().write(descriptor, data[:7])  # short writes, always

    def sync(self, descriptor: int) -> None:
        self._call("sync")

    def sync_folder(self, folder: Path) -> None:
        self._call("sync_folder")

    def truncate(self, descriptor: int, length: int) -> None:
        self._call("truncate")
        super().truncate(descriptor, length)

    def size(self, descriptor: int) -> int:
        self._call("size")
        return super().size(descriptor)

    def open(self, path: Path) -> int:
        self._call("open")
        return super().open(path)

    def read(self, path: Path) -> bytes:
        self._call("read")
        return super().read(path)
