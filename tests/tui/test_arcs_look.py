"""How a part of the matrix over an arc looks; accept a change with `--snapshot-update`."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from textual.pilot import Pilot

from tests.tui.test_arcs import begun
from tests.tui.test_reading import settled
from tui.app import FullturnApp

pytestmark = pytest.mark.skipif(
    sys.platform == "win32", reason="the picture holds the characters of a POSIX terminal"
)


async def ready(pilot: Pilot[None]) -> None:
    await pilot.pause()
    await settled(pilot)
    await pilot.press("down", "down")
    await settled(pilot)


def test_over_an_arc(tmp_path: Path, snap_compare: Callable[..., bool]) -> None:
    assert snap_compare(FullturnApp(tmp_path, begun(tmp_path, 5)), terminal_size=(160, 45), run_before=ready)
