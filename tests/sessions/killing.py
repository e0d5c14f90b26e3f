"""A process that records readings without end, killed at random moments; what it had acknowledged must be there."""

from __future__ import annotations

import random
import subprocess
import sys
import time
from dataclasses import dataclass
from pathlib import Path

from sessions.session import Session
from tests.sessions.kit import Clock, QuickDisk, example_header

STREAM = """
import sys
from sessions.session import Session
session = Session.open(sys.argv[1])
count = len(session.entries)
print("ready", session.read_only, flush=True)
while True:
    session.take(count % 3, count % 13, count / 64)
    count += 1
    print(count, flush=True)
"""


@dataclass(slots=True)
class Kills:
    """What came of killing: kills, readings recorded, how many of them were never acknowledged, cut entries found."""

    kills: int = 0
    recorded: int = 0
    unacknowledged: int = 0
    cut: int = 0


def kill(folder: Path, rounds: int, seed: int) -> Kills:
    """Kill a stream of readings `rounds` times, and check after each that all it acknowledged is in the file."""
    path = folder / "s.toml"
    Session.create(path, example_header(), clock=Clock(), disk=QuickDisk()).close()
    chance = random.Random(seed)
    found = Kills()
    for _ in range(rounds):
        stream = subprocess.Popen(
            [sys.executable, "-c", STREAM, str(path)], stdout=subprocess.PIPE, text=True, bufsize=1
        )
        assert stream.stdout is not None
        assert stream.stdout.readline().strip() == "ready"
        time.sleep(chance.uniform(0.0, 0.03))
        stream.kill()
        lines = stream.stdout.read().split("\n")[:-1]  # a line that was cut acknowledges nothing
        stream.wait()
        stream.stdout.close()
        acknowledged = int(lines[-1]) if lines else found.recorded
        with Session.read(path) as session:
            entries = session.entries
            found.cut += bool(session.notices)
        assert [entry.value for entry in entries] == [number / 64 for number in range(len(entries))]
        assert acknowledged <= len(entries) <= acknowledged + 1
        found.kills += 1
        found.recorded = len(entries)
        found.unacknowledged += len(entries) - acknowledged
    return found
