"""A new session in a folder, with what is worth a note from the first."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from sessions.header import Header
from sessions.names import file_name, free_path
from sessions.session import Session


def begin(folder: Path, header: Header, notes: Iterable[str] = ()) -> Session:
    """Begin a session in a file of its own, named after its title, and leave it open for writing.

    Raises
    ------
    Refused
        Where the file, or a note in it, cannot be written.
    """
    session = Session.create(free_path(folder, file_name(header.title)), header)
    try:
        for words in notes:
            session.note(words)
    except BaseException:
        session.close()
        raise
    return session
