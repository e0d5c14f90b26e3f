"""How the start screen and the form look."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Input

from tests.tui.front import NOW, begin, front, settled
from tui.screens.new_session import NewSessionScreen
from tui.theme import LIGHT

pytestmark = pytest.mark.skipif(
    sys.platform == "win32", reason="the folder's path is drawn with its own slashes"
)


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Return a folder with sessions, at a path that is the same wherever the tests run."""
    monkeypatch.setenv("HOME", str(tmp_path))
    folder = tmp_path / "Documents" / "Fullturn"
    begin(folder / "plate-7.toml", "Plate 7 against the house standard", NOW - timedelta(hours=1), cells=31)
    begin(folder / "plate-3.toml", "Plate 3, 30° steps", NOW - timedelta(days=1), cells=39)
    begin(folder / "long.toml", "A title that is longer than a narrow screen has room for it, by far", NOW)
    # Without a reading its day is that of the file.
    os.utime(folder / "long.toml", (NOW.timestamp(), NOW.timestamp()))
    return folder


def still(pilot: Pilot[None]) -> None:
    """Keep the cursor from blinking."""
    for line in pilot.app.screen.query(Input):
        line.cursor_blink = False


@pytest.mark.parametrize("size", [(80, 24), (120, 36)])
def test_start(snap_compare: Callable[..., bool], folder: Path, size: tuple[int, int]) -> None:
    assert snap_compare(front(folder), terminal_size=size, run_before=settled)


@pytest.mark.parametrize("size", [(80, 24), (160, 45)])
def test_form_in_the_light(snap_compare: Callable[..., bool], folder: Path, size: tuple[int, int]) -> None:
    async def open_form(pilot: Pilot[None]) -> None:
        await settled(pilot)
        pilot.app.theme = LIGHT.name
        await pilot.press("n")
        await pilot.pause()
        assert isinstance(pilot.app.screen, NewSessionScreen)
        still(pilot)
        pilot.app.screen.query_one("#field-offsets Input", Input).value = "0 6"
        pilot.app.screen.query_one("#field-positions Input", Input).focus()
        await pilot.pause()

    assert snap_compare(front(folder), terminal_size=size, run_before=open_form)


def test_help_without_colours(
    snap_compare: Callable[..., bool], folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("NO_COLOR", "1")

    async def open_help(pilot: Pilot[None]) -> None:
        await settled(pilot)
        await pilot.press("h")
        await pilot.pause()

    assert snap_compare(front(folder), terminal_size=(80, 24), run_before=open_help)
