"""A session set aside: its file moved, whole, into a folder beside the others, and never deleted."""

from __future__ import annotations

import os
from datetime import datetime
from pathlib import Path

from sessions.counted import counted
from sessions.disk import Disk, refusal
from sessions.lock import take_lock
from sessions.names import free_path
from sessions.session import Session
from solver.refused import Refused

#: The folder, beside the sessions.
ASIDE = "set aside"


def readings_words(path: Path) -> str:
    """Return how many readings a session holds, struck ones too, as "31 readings".

    Raises
    ------
    Refused
        If the file cannot be read.
    """
    with Session.read(path) as session:
        return counted(session.matrix.accepted + session.matrix.struck, "reading")


def set_aside(path: Path, now: datetime, disk: Disk | None = None) -> Path:
    """Move a session file into the folder for those set aside, under a name that is free there.

    Parameters
    ----------
    path : Path
        The session file.
    now : datetime
        Noted as the time since when it is held, while it is moved.
    disk : Disk, optional
        The way to the operating system.

    Returns
    -------
    Path
        Where it is now.

    Raises
    ------
    Refused
        If it is open for writing elsewhere, a link, or cannot be moved; it is then where it was.
    """
    if path.is_symlink():
        raise Refused(
            "this is a link to a session elsewhere",
            where=str(path),
            remedy="set the file aside where it lies",
        )
    disk = disk or Disk()
    lock = take_lock(Path(os.path.realpath(path)), disk, now)
    if isinstance(lock, str):
        raise Refused(
            f"the session cannot be set aside: {lock}",
            where=str(path),
            remedy="put that right, then do it again",
        )
    folder = path.parent / ASIDE
    try:
        folder.mkdir(exist_ok=True)
        target = free_path(folder, path.name)
        path.rename(target)
    except OSError as error:
        raise refusal(error, str(path)) from error
    finally:
        lock.release()
    return target
