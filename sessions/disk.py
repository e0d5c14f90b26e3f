"""The few calls to the operating system by which the record reaches the disk, all in one place."""

from __future__ import annotations

import errno
import os
from pathlib import Path
from typing import TYPE_CHECKING

from solver.refused import Refused

if TYPE_CHECKING:
    from filelock import BaseFileLock

_BINARY = getattr(os, "O_BINARY", 0)
_APPEND = os.O_RDWR | os.O_APPEND | _BINARY

_WORDS = {
    errno.ENOSPC: ("the disk is full", "free some space, then do it again"),
    getattr(errno, "EDQUOT", -1): ("the disk quota is used up", "free some space, then do it again"),
    errno.EIO: ("the disk reports an error", "copy the file to another disk and go on there"),
    errno.EROFS: ("the disk is read-only", "copy the file to another folder and open it there"),
    errno.EACCES: ("permission is denied", "copy the file to another folder and open it there"),
    errno.EPERM: ("permission is denied", "copy the file to another folder and open it there"),
    errno.ENOENT: ("there is no such file", "check the name"),
    errno.EISDIR: ("this is a folder", "name a session file in it"),
    errno.ENAMETOOLONG: ("the name is too long", "choose a shorter one"),
}


def words(error: OSError) -> tuple[str, str]:
    """Return what an error of the operating system means, and the remedy."""
    usual = (error.strerror or type(error).__name__).strip()
    return _WORDS.get(error.errno or 0, (usual[:1].lower() + usual[1:], "put that right, then do it again"))


def refusal(error: OSError, where: str, remedy: str = "") -> Refused:
    """Return an error of the operating system as a refusal, with its usual remedy or the one given."""
    what, usual = words(error)
    return Refused(what, where=where, remedy=remedy or usual)


class Disk:
    """Opens, writes and syncs; tests hand in one that fails."""

    def read(self, path: Path) -> bytes:
        """Return the bytes of a file."""
        return path.read_bytes()

    def read_open(self, descriptor: int, length: int) -> bytes:
        """Return the first bytes of an open file."""
        os.lseek(descriptor, 0, os.SEEK_SET)
        parts = []
        while length > 0 and (part := os.read(descriptor, length)):
            parts.append(part)
            length -= len(part)
        return b"".join(parts)

    def open(self, path: Path) -> int:
        """Open a file for reading and appending and return its descriptor."""
        return os.open(path, _APPEND)

    def create(self, path: Path) -> int:
        """Make a file that is not there yet, for appending, and return its descriptor."""
        return os.open(path, _APPEND | os.O_CREAT | os.O_EXCL, 0o666)

    def write(self, descriptor: int, data: bytes) -> int:
        """Append some of `data` and return how many bytes."""
        return os.write(descriptor, data)

    def sync(self, descriptor: int) -> None:
        """Return when the file is on the disk itself."""
        os.fsync(descriptor)

    def truncate(self, descriptor: int, length: int) -> None:
        """Cut the file to `length` bytes."""
        os.ftruncate(descriptor, length)

    def close(self, descriptor: int) -> None:
        """Close a descriptor."""
        os.close(descriptor)

    def size(self, descriptor: int) -> int:
        """Return the length of an open file, bytes."""
        return os.fstat(descriptor).st_size

    def in_place(self, descriptor: int, path: Path) -> bool:
        """Return whether `path` still leads to the open file, and not to nothing or to another one."""
        try:
            there = path.stat()
        except FileNotFoundError:
            return False
        # Windows neither removes nor replaces an open file, and numbers files in its own way.
        return os.name == "nt" or os.path.samestat(os.fstat(descriptor), there)

    def sync_folder(self, folder: Path) -> None:
        """Return when the folder's list of names is on the disk, where the system can tell."""
        if os.name == "nt":
            return
        descriptor = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(descriptor)
        except OSError as error:
            # Some network disks cannot sync a folder; the file itself has been synced.
            if error.errno not in (errno.EINVAL, errno.ENOTSUP, errno.EBADF):
                raise
        finally:
            os.close(descriptor)

    def lock(self, path: Path) -> BaseFileLock:
        """Return the lock at `path`, not yet taken."""
        from filelock import FileLock  # slow to import, and not needed to read or list sessions

        return FileLock(path, timeout=0, thread_local=False)

    def write_new(self, path: Path, data: bytes) -> None:
        """Write a new file whole and sync it, or leave none behind."""
        descriptor = self.create(path)
        try:
            try:
                self.write_all(descriptor, data)
                self.sync(descriptor)
            finally:
                self.close(descriptor)
            self.sync_folder(path.parent)
        except BaseException:
            path.unlink(missing_ok=True)
            raise

    def write_all(self, descriptor: int, data: bytes) -> None:
        """Append all of `data`."""
        done = 0
        while done < len(data):
            written = self.write(descriptor, data[done:])
            if written <= 0:
                raise OSError(errno.EIO, "nothing was written")
            done += written
