"""Keys that come faster than screens: none is taken by a screen that is not there yet, or no longer."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual import events
from textual.app import App, ComposeResult
from textual.widgets.option_list import Option

from sessions.demo import copy_demo
from tui.app import FullturnApp
from tui.widgets.options import Options

#: From the bench: to screens with lists and actions of their own, and what is pressed before they stand.
BURSTS = [
    ["w", "enter", "g", "f1", "pagedown", "pageup", "escape"],
    ["x", "pageup", "pagedown", "k", "escape", "pageup"],
    ["s", "pagedown", "pageup", "escape"],
    ["l", "pageup", "pagedown", "end", "escape"],
    ["c", "ctrl+s", "pagedown", "escape"],
    ["h", "tab", "l", "u", "escape"],
    ["e", "enter", "c", "pagedown", "escape"],
    ["u", "enter", "pagedown", "a", "escape"],
    ["escape", "pageup", "pagedown", "enter", "escape"],
    ["f1", "pagedown", "escape", "escape", "n", "escape", "p", "pageup", "escape", "t", "pagedown"],
]


@pytest.mark.parametrize("burst", BURSTS, ids=lambda burst: burst[0])
async def test_bursts_of_keys_across_screens(tmp_path: Path, burst: list[str]) -> None:
    app = FullturnApp(tmp_path, copy_demo(tmp_path))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        for _ in range(5):
            for key in burst:
                app.post_message(events.Key(key, key if len(key) == 1 else None))
        await pilot.pause()
        assert app.is_running


async def test_keys_after_the_end_are_nobodys(tmp_path: Path) -> None:
    app = FullturnApp(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        app.exit()
        for key in ("q", "escape", "1", "f1"):
            app.post_message(events.Key(key, None))
        app.post_message(events.Paste("1.5\n"))
    assert app.refused is None


class Listed(App[None]):
    CSS = "Options { height: 5; border: none; padding: 0; }"

    def compose(self) -> ComposeResult:
        yield Options()


async def test_pages_turn_before_the_list_is_drawn() -> None:
    async with Listed().run_test() as pilot:
        found = pilot.app.query_one(Options)
        found.action_page_up()
        assert found.highlighted is None
        found.set_options([Option(str(number), disabled=number in (0, 10)) for number in range(20)])
        found.highlighted = 1
        found.action_page_up()
        assert found.highlighted == 1
        found.action_page_down()
        assert found.highlighted is not None
        assert found.highlighted > 1
        await pilot.pause()
        found.highlighted = 5
        found.action_page_down()
        assert found.highlighted in (9, 11)  # ten cannot be chosen
        found.action_page_up()
        found.action_page_up()
        found.action_page_up()
        assert found.highlighted == 1
        for _ in range(5):
            found.action_page_down()
        assert found.highlighted == 19
