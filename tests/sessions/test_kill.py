"""Killed at any moment while readings stream in: no reading that was acknowledged is lost."""

import random
import subprocess
import sys
import time
from pathlib import Path

import pytest

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
ROUNDS = 20


@pytest.mark.skipif(not hasattr(__import__("signal"), "SIGKILL"), reason="no SIGKILL here")
def test_no_acknowledged_reading_is_lost(tmp_path: Path) -> None:
    path = tmp_path / "s.toml"
    Session.create(path, example_header(), clock=Clock(), disk=QuickDisk()).close()
    chance = random.Random(20260302)
    acknowledged = recorded = 0
    for _ in range(ROUNDS):
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
        acknowledged = int(lines[-1]) if lines else recorded
        entries = Session.read(path).entries
        assert [entry.value for entry in entries] == [number / 64 for number in range(len(entries))]
        assert acknowledged <= len(entries) <= acknowledged + 1
        recorded = len(entries)
    assert recorded > ROUNDS
