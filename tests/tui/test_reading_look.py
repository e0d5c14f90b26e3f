"""How the reading screen looks; accept a change with `pytest tests/tui/test_reading_look.py --snapshot-update`."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from textual.pilot import Pilot

from sessions.demo import copy_demo
from tests.tui.test_reading import send, settled
from tui.app import FullturnApp

pytestmark = pytest.mark.skipif(
    sys.platform == "win32", reason="the picture holds the characters of a POSIX terminal"
)

Compare = Callable[..., bool]


async def ready(pilot: Pilot[None]) -> None:
    await pilot.pause()
    await settled(pilot)


async def slip(pilot: Pilot[None]) -> None:
    """Type a good reading and one with the sign forgotten."""
    await ready(pilot)
    send(pilot, "3.52\n-3.51\n3.4")
    await settled(pilot)


async def listed(pilot: Pilot[None]) -> None:
    await ready(pilot)
    await pilot.press("x")
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()


@pytest.mark.parametrize("size", [(80, 24), (120, 36), (160, 45)])
def test_a_slip(tmp_path: Path, snap_compare: Compare, size: tuple[int, int]) -> None:
    app = FullturnApp(tmp_path, copy_demo(tmp_path))
    assert snap_compare(app, terminal_size=size, run_before=slip)


@pytest.mark.parametrize(("pane", "presses"), [("errors", 1), ("plot", 2)])
def test_panes_of_a_narrow_screen(tmp_path: Path, snap_compare: Compare, pane: str, presses: int) -> None:
    async def shown(pilot: Pilot[None]) -> None:
        await ready(pilot)
        await pilot.press(*["tab"] * presses)
        await settled(pilot)

    assert pane
    assert snap_compare(FullturnApp(tmp_path, copy_demo(tmp_path)), terminal_size=(80, 24), run_before=shown)


def test_suspects(tmp_path: Path, snap_compare: Compare) -> None:
    assert snap_compare(
        FullturnApp(tmp_path, copy_demo(tmp_path)), terminal_size=(120, 36), run_before=listed
    )


def test_plain_signs_and_light_colours(tmp_path: Path, snap_compare: Compare) -> None:
    app = FullturnApp(tmp_path, copy_demo(tmp_path), ascii_only=True, light=True)
    assert snap_compare(app, terminal_size=(120, 36), run_before=slip)
