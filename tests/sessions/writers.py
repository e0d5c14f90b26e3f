"""Several processes that all want to write one session file."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

from sessions.session import Session
from tests.sessions.kit import Clock, QuickDisk, example_header

WRITER = """
import random, sys
from sessions.session import Session
from solver.refused import Refused
path, name, opens = sys.argv[1], int(sys.argv[2]), int(sys.argv[3])
chance, written, refused = random.Random(name), 0, 0
for _ in range(opens):
    with Session.open(path) as session:
        for _ in range(chance.randrange(1, 4)):
            try:
                entry = session.take(name % 3, name % 13, written)
            except Refused as refusal:
                assert "has it open" in str(refusal) or "another program" in str(refusal), refusal
                refused += 1
            else:
                assert not session.read_only
                written += 1
print(written, refused)
"""


@dataclass(slots=True)
class Written:
    """Readings taken and readings refused, over all processes."""

    taken: int = 0
    refused: int = 0


def write_together(folder: Path, processes: int, opens: int) -> Written:
    """Let processes open and write one file over and over; check that each reading taken is there, once, in order."""
    path = folder / "s.toml"
    Session.create(path, example_header(), clock=Clock(), disk=QuickDisk()).close()
    running = [
        subprocess.Popen(
            [sys.executable, "-c", WRITER, str(path), str(name), str(opens)],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        for name in range(processes)
    ]
    found, taken = Written(), []
    for process in running:
        out, complaint = process.communicate()
        assert process.returncode == 0, complaint
        written, refused = map(int, out.split())
        taken.append(written)
        found.taken += written
        found.refused += refused
    entries = Session.read(path).entries
    assert len(entries) == found.taken
    for name, written in enumerate(taken):
        own = [entry.value for entry in entries if (entry.run, entry.step) == (name % 3, name % 13)]
        assert own == list(range(written))
    return found
