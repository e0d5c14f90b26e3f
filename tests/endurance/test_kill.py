"""Killed a thousand times while readings stream in: the record alone, and the program with its screen."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from tests.sessions.killing import kill

if os.name == "nt":
    pytest.skip("no SIGKILL here", allow_module_level=True)


def test_record_killed_a_thousand_times(tmp_path: Path) -> None:
    found = kill(tmp_path, rounds=1_000, seed=1)
    print(f"\n{found}")
    assert found.kills == 1_000
    assert found.recorded > found.kills


def test_program_killed_a_thousand_times_while_readings_are_typed(tmp_path: Path) -> None:
    from tests.tui.real_program import kill_while_typing

    found = kill_while_typing(tmp_path, rounds=1_000, seed=1)
    print(f"\n{found}")
    assert found.kills == 1_000
    assert found.while_typing > 200
