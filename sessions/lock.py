"""One writer at a time: a lock that dies with its process, and a line saying who has it."""

from __future__ import annotations

import getpass
import os
import socket
from contextlib import suppress
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from sessions.blocks import lines
from sessions.disk import Disk, words
from sessions.toml_text import read_toml

if TYPE_CHECKING:
    from filelock import BaseFileLock


class Lock:
    """The right to write a session file, held until `release` or until the process ends."""

    def __init__(self, lock: BaseFileLock, holder: Path) -> None:
        self._lock = lock
        self._holder = holder

    def release(self) -> None:
        """Give the right back."""
        with suppress(OSError):  # who had it does not matter once nobody has
            self._holder.unlink(missing_ok=True)
        self._lock.release()


def take_lock(path: Path, disk: Disk, now: datetime) -> Lock | str:
    """Take the right to write `path`.

    Parameters
    ----------
    path : Path
        The session file, links resolved.
    disk : Disk
        The way to the operating system.
    now : datetime
        Noted as the time since when it is held.

    Returns
    -------
    Lock or str
        The lock, or in words why it cannot be had.
    """
    from filelock import Timeout  # slow to import, and not needed to read or list sessions

    holder = path.with_name(f".{path.name}.holder")
    lock = disk.lock(path.with_name(f".{path.name}.lock"))
    try:
        lock.acquire()
    except Timeout:
        return _held_by(holder)
    except NotImplementedError:
        return "this disk cannot keep two programs apart, so nothing is written; copy the file to another one"
    except OSError as error:
        return f"the folder cannot be written: {words(error)[0]}"
    told = {"user": _user(), "host": socket.gethostname(), "process": os.getpid(), "since": now}
    with suppress(OSError):  # the lock counts; a full disk only leaves its holder without a name
        holder.write_text(lines(told), encoding="utf-8")
    return Lock(lock, holder)


def _held_by(holder: Path) -> str:
    try:
        told = read_toml(holder.read_text(encoding="utf-8"))
        since = f"{told['since']:%Y-%m-%d %H:%M}"
        return f"{told['user']} on {told['host']} has it open since {since} (process {told['process']})"
    except (OSError, ValueError, KeyError):
        return "another program has it open"


def _user() -> str:
    try:
        return getpass.getuser()
    except (OSError, KeyError, ImportError):  # no account name, as in some containers
        return "somebody"
