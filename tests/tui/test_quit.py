"""Ctrl+Q ends the program at once, unless something that was typed on a form would be gone."""

from __future__ import annotations

import asyncio
from pathlib import Path

import pytest
from textual import events

from sessions.demo import copy_demo
from tests.tui import front
from tests.tui.test_reading import settled
from tui.app import FullturnApp
from tui.screens.ask import Confirm
from tui.screens.reading import ReadingScreen


@pytest.mark.parametrize(
    ("keys", "typed"),
    [
        (["c"], ["tab", "F", "T"]),
        (["w", "enter"], ["1"]),
        (["u"], ["down", "c"]),
    ],
    ids=["certificate", "worksheet", "budget"],
)
async def test_what_is_typed_and_not_recorded_is_asked_for(
    keys: list[str], typed: list[str], tmp_path: Path
) -> None:
    app = FullturnApp(tmp_path, copy_demo(tmp_path))
    async with app.run_test(size=(120, 36)) as pilot:
        await pilot.pause()
        await settled(pilot)
        for key in keys:
            await pilot.press(key)
            await settled(pilot)
        form = app.screen
        for key in typed:
            await pilot.press(key)
            await settled(pilot)
        await pilot.press("ctrl+q")
        await pilot.pause()
        assert isinstance(app.screen, Confirm)
        # Pressed again it does not answer the question.
        await pilot.press("ctrl+q")
        await pilot.pause()
        assert isinstance(app.screen, Confirm)
        await pilot.press("escape")
        await pilot.pause()
        assert app.screen is form
        await pilot.press("ctrl+q")
        await pilot.pause()
        await pilot.press("l")
        await pilot.pause()
        assert app.screen is not form
        assert app.is_running


async def test_a_new_session_half_filled_in_is_asked_for(tmp_path: Path) -> None:
    app = FullturnApp(tmp_path, None)
    async with app.run_test(size=(120, 36)) as pilot:
        await pilot.pause()
        await pilot.press("n")
        await pilot.pause()
        await pilot.press("T")
        await pilot.pause()
        await pilot.press("ctrl+q")
        await pilot.pause()
        assert isinstance(app.screen, Confirm)


@pytest.mark.parametrize("keys", [[], ["c"], ["w"], ["u"], ["x"]])
async def test_where_nothing_is_typed_it_ends_at_once(keys: list[str], tmp_path: Path) -> None:
    app = FullturnApp(tmp_path, copy_demo(tmp_path))
    async with app.run_test(size=(120, 36)) as pilot:
        await pilot.pause()
        screen = await settled(pilot)
        assert isinstance(screen, ReadingScreen)
        for key in keys:
            await pilot.press(key)
            await settled(pilot)
        app.post_message(events.Key("ctrl+q", None))
        await pilot.pause()
        assert not app._running or app._exit


@pytest.mark.parametrize("key", ["w", "u", "c", "h", "e", "l"])
@pytest.mark.parametrize("turns", range(0, 13, 4))
async def test_a_screen_may_be_left_while_it_is_laid_out(key: str, turns: int, tmp_path: Path) -> None:
    app = FullturnApp(tmp_path, copy_demo(tmp_path))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await settled(pilot)
        app.post_message(events.Key(key, key))
        for _ in range(turns):
            await asyncio.sleep(0)
        app.exit()
    # A fault would have been raised when the app was left.
    assert not app.is_running


@pytest.mark.parametrize("key", ["n", "p", "t"])
@pytest.mark.parametrize("turns", range(0, 13, 4))
async def test_so_may_one_of_the_start_screen(key: str, turns: int, tmp_path: Path) -> None:
    app = FullturnApp(tmp_path, None)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await front.settled(pilot)
        app.post_message(events.Key(key, key))
        for _ in range(turns):
            await asyncio.sleep(0)
        app.exit()
    assert not app.is_running
