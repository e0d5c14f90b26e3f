"""How the planner, the extension of a session and the practice bench look."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Input

from sessions.analysis import analyse
from sessions.demo import copy_demo
from sessions.design import Design
from sessions.practice.begin import begin, play
from sessions.practice.parameters import USUAL_SLIPS, Parameters
from sessions.session import Session
from tests.tui.front import front, settled
from tui.screens.extend import ExtendScreen
from tui.screens.plan import PlanScreen
from tui.theme import LIGHT

pytestmark = pytest.mark.skipif(
    sys.platform == "win32", reason="drawn with the fonts and slashes of one system"
)


async def quiet(pilot: Pilot[None]) -> None:
    """Wait for whatever is worked out, and keep the cursor from blinking."""
    for _ in range(3):
        await settled(pilot)
    for line in pilot.app.screen.query(Input):
        line.cursor_blink = False


@pytest.mark.parametrize("size", [(80, 24), (160, 45)])
def test_planner(snap_compare: Callable[..., bool], tmp_path: Path, size: tuple[int, int]) -> None:
    async def open_planner(pilot: Pilot[None]) -> None:
        await settled(pilot)
        await pilot.press("p")
        await quiet(pilot)
        screen = pilot.app.screen
        assert isinstance(screen, PlanScreen)
        screen.query_one("#field-positions Input", Input).value = "36"
        screen.query_one("#field-tolerance Input", Input).value = "0.2"
        await quiet(pilot)

    assert snap_compare(front(tmp_path), terminal_size=size, run_before=open_planner)


def test_extension_in_the_light(snap_compare: Callable[..., bool], tmp_path: Path) -> None:
    session = Session.open(copy_demo(tmp_path))

    async def open_extension(pilot: Pilot[None]) -> None:
        await settled(pilot)
        pilot.app.theme = LIGHT.name
        pilot.app.push_screen(ExtendScreen(session, analyse(session.matrix.snapshot())))
        await quiet(pilot)

    assert snap_compare(front(tmp_path), terminal_size=(80, 24), run_before=open_extension)


def test_menu(snap_compare: Callable[..., bool], tmp_path: Path) -> None:
    async def open_menu(pilot: Pilot[None]) -> None:
        await settled(pilot)
        await pilot.press("t")
        await quiet(pilot)

    assert snap_compare(front(tmp_path), terminal_size=(80, 24), run_before=open_menu)


def test_walk_without_colours(
    snap_compare: Callable[..., bool], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("NO_COLOR", "1")

    async def open_walk(pilot: Pilot[None]) -> None:
        await settled(pilot)
        await pilot.press("t")
        await quiet(pilot)
        await pilot.press("enter", *["right"] * 4, "3")
        await quiet(pilot)

    assert snap_compare(front(tmp_path), terminal_size=(80, 24), run_before=open_walk)


def test_truth_in_plain_ascii(snap_compare: Callable[..., bool], tmp_path: Path) -> None:
    with begin(tmp_path / "practice.toml", Design(8, (0, 1, 3)), Parameters(5, slips=USUAL_SLIPS)) as session:
        play(session)

    async def open_truth(pilot: Pilot[None]) -> None:
        await quiet(pilot)
        await pilot.press("e")
        await quiet(pilot)

    app = front(tmp_path, session.path, ascii_only=True)
    assert snap_compare(app, terminal_size=(80, 24), run_before=open_truth)
