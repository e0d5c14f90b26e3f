"""What lies in a folder of sessions."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from sessions.disk import refusal
from sessions.equipment import Circle
from sessions.header import Header
from sessions.session import Session
from solver.refused import Refused

_SIDE = re.compile(r"\.cut-\d{8}T\d{6}(-\d+)?$")


@dataclass(frozen=True, slots=True)
class Listing:
    """A file in the folder of the sessions.

    Parameters
    ----------
    path : Path
        The file.
    touched : datetime
        Time of its last entry, or of its beginning, or else of the file; with an offset from UTC.
    title, circles : str
        What it is about; circles by their names, as "HT-04 against HT-11".
    filled, planned : int
        Cells.
    problem : str
        Why it cannot be opened; empty where it can.
    """

    path: Path
    touched: datetime
    title: str = ""
    circles: str = ""
    filled: int = 0
    planned: int = 0
    problem: str = ""


def list_sessions(folder: Path) -> tuple[Listing, ...]:
    """Return the session files of a folder, newest first; none where there is no such folder.

    A file that cannot be opened is listed with the reason; hidden files and cut entries are left out.

    Raises
    ------
    Refused
        Where the folder itself cannot be read.
    """
    try:
        paths = (
            [path for path in folder.iterdir() if path.suffix.lower() == ".toml"] if folder.exists() else []
        )
    except OSError as error:
        raise refusal(error, str(folder)) from error
    shown = [path for path in paths if not path.name.startswith(".") and not _SIDE.search(path.stem)]
    return tuple(sorted(map(listing, shown), key=lambda each: (each.touched, each.path.name), reverse=True))


def listing(path: Path) -> Listing:
    """Return what there is to say of one file; a file that cannot be opened is no error here."""
    try:
        session = Session.read(path)
    except Refused as refused:
        return Listing(path, _modified(path), problem=str(refused))
    header, entries = session.header, session.entries
    return Listing(
        path,
        entries[-1].time if entries else header.created or _modified(path),
        header.title,
        circles(header),
        session.matrix.filled,
        header.design.planned_cells,
    )


def circles(header: Header) -> str:
    """Return the circles of a session by their names, or by what they are."""
    names = [_name(circle) for circle in (header.lower, header.upper) if circle is not None]
    return " against ".join(names if header.design.closure == "dual" else names[:1])


def _name(circle: Circle) -> str:
    return circle.name or (f"{circle.kind} {circle.serial}".strip())


def _modified(path: Path) -> datetime:
    """Return when a file was changed; the beginning of time where it cannot be told, as for a broken link."""
    try:
        return datetime.fromtimestamp(path.stat().st_mtime, UTC).astimezone()
    except (OSError, ValueError, OverflowError):
        return datetime.fromtimestamp(0, UTC)
