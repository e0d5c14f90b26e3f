"""The sessions of a folder that something may be taken over from: real ones, the newest first."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

from sessions.demo import demo_bytes
from sessions.entries import Entry
from sessions.folder import list_sessions
from sessions.parse import parse
from sessions.practice.parameters import is_practice
from sessions.session import Session
from solver.refused import Refused


def newest_first(folder: Path, besides: Path | None = None) -> Iterator[Session]:
    """Yield the sessions of a folder, open for reading until the next is asked for, in the order of their list.

    Simulated ones and copies of the bundled example are passed over, and files that cannot be read: the list of
    sessions says what is the matter with them.
    """
    try:
        listed = list_sessions(folder)
    except Refused:
        return
    begins = parse(demo_bytes(), "the example").state.entries[:1]
    for each in listed:
        if each.problem or each.path == besides:
            continue
        try:
            session = Session.read(each.path)
        except Refused:
            continue
        with session:
            if not is_practice(session.entries) and not _is_demo(session.entries, begins):
                yield session


def _is_demo(entries: Sequence[Entry], begins: Sequence[Entry]) -> bool:
    """Return whether a session is a copy of the example, whatever was recorded or amended since.

    Nothing else has its first entry: same second, same figures, same remark.
    """
    return list(entries[: len(begins)]) == list(begins)
