"""The disk failing at every single call of a whole session, and processes that contend for one file."""

from __future__ import annotations

from pathlib import Path

from tests.sessions.faults_everywhere import fail_everywhere
from tests.sessions.writers import write_together


def test_fault_at_every_call(tmp_path: Path) -> None:
    found = fail_everywhere(tmp_path, every=1)
    print(f"\n{found}")
    assert found.faults > 700


def test_eight_processes_want_to_write(tmp_path: Path) -> None:
    found = write_together(tmp_path, processes=8, opens=300)
    print(f"\n{found}")
    assert min(found.taken, found.refused) > 100
