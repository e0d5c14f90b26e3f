"""Killed at any moment while readings stream in: no reading that was acknowledged is lost."""

from pathlib import Path

import pytest

from tests.sessions.killing import kill


@pytest.mark.skipif(not hasattr(__import__("signal"), "SIGKILL"), reason="no SIGKILL here")
def test_no_acknowledged_reading_is_lost(tmp_path: Path) -> None:
    found = kill(tmp_path, rounds=20, seed=20260302)
    assert found.recorded > found.kills
