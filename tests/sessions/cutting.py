"""A session file cut by a fault, and gone on with."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import timedelta
from pathlib import Path

from sessions.session import Session
from tests.sessions.kit import START, Clock, QuickDisk

LATER = START + timedelta(hours=1)


def go_on_after_cuts(folder: Path, data: bytes, cuts: Iterable[int]) -> int:
    """Open the file cut at each place, take a reading, and check that all is in it or beside it; return side files."""
    set_aside = 0
    for cut in cuts:
        inside = folder / str(cut)
        inside.mkdir()
        path = inside / "s.toml"
        path.write_bytes(data[:cut])
        with Session.open(path, clock=Clock(LATER), disk=QuickDisk()) as session:
            before = session.entries
            assert session.read_only == ""
            session.take(0, 5, 4.25)
        side = list(inside.glob("s.cut-*.toml"))
        kept = path.read_bytes()
        if side:
            assert len(side) == 1
            tail = side[0].read_bytes()
            assert data[:cut].endswith(tail)
            assert kept.startswith(data[: cut - len(tail)])
            assert any(side[0].name in notice for notice in session.notices)
            set_aside += 1
        else:
            assert kept.startswith(data[:cut])
            assert session.notices == ()
        again = Session.read(path)
        assert again.entries[:-1] == before
        assert again.entries[-1].value == 4.25
        assert again.notices == ()
    return set_aside
