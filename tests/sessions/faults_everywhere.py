"""A whole session recorded on a disk that fails at one call after the other."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from sessions.session import Session
from solver.refused import Refused
from tests.sessions.faulty import BROKEN, FULL, FaultyDisk
from tests.sessions.kit import Clock, every_kind

CALLS = ("write", "sync", "sync_folder", "size", "open")


@dataclass(slots=True)
class Faults:
    """Faults that came, and how many of them let the session not even begin."""

    faults: int = 0
    not_begun: int = 0


def fail_everywhere(folder: Path, every: int) -> Faults:
    """Let each call to the disk fail in turn, every so manieth; check what is in the file, and go on.

    Writes are of seven bytes at most, so that an entry takes a score of them.
    """
    found = Faults()
    for call in CALLS:
        for error in (FULL, BROKEN):
            at = 0
            while _fail_once(folder / f"{found.faults}.toml", call, error, at, found):
                at += every
    return found


def _fail_once(path: Path, call: str, error: OSError, at: int, found: Faults) -> bool:
    """Let call number `at` fail; return whether there was such a call."""
    disk = FaultyDisk()
    # A new error each time: one that was raised keeps the session of its frames alive, and with that the lock.
    disk.fail, disk.partly, disk.at = {call: OSError(*error.args)}, at % 7, at
    try:
        every_kind(path, disk).close()
    except Refused as refusal:
        assert refusal.remedy
    if disk.calls <= at:
        path.unlink()
        return False
    found.faults += 1
    disk.fail = {}
    if not path.exists():
        found.not_begun += 1
        return True
    # The session was left open by the refusal; its lock goes with it, and nothing half-written has stayed.
    data = path.read_bytes()
    with Session.read(path) as left:
        entries = left.entries
        assert left.notices == ()
    with Session.open(path, clock=Clock(), disk=disk) as again:
        assert again.read_only == ""
        again.note("gone on")
    assert Session.read(path).entries[:-1] == entries
    assert path.read_bytes().startswith(data)
    path.unlink()
    return True
