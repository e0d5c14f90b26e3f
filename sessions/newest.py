"""The sessions of a folder, the newest first, as far as they can be read."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from sessions.names import SUFFIX
from sessions.session import Session
from solver.refused import Refused

#: Files looked into.
_MOST = 30


def newest_first(folder: Path, besides: Path | None = None) -> Iterator[Session]:
    """Yield the sessions of a folder, open for reading until the next is asked for.

    Files that cannot be read are passed over: the list of sessions says what is the matter with them.
    """
    files = [each for each in folder.glob(f"*{SUFFIX}") if each != besides and each.is_file()]
    for file in sorted(files, key=lambda each: each.stat().st_mtime, reverse=True)[:_MOST]:
        try:
            session = Session.read(file)
        except Refused:
            continue
        with session:
            yield session
