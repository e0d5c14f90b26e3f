"""Ten thousand random keys: no crash, and every reading acknowledged is in the file."""

from __future__ import annotations

import random
from pathlib import Path

from textual import events

from sessions.demo import copy_demo
from sessions.session import Session
from tui.app import FullturnApp
from tui.screens.reading import ReadingScreen

KEYS = 10_000
#: Named keys with the character that they carry.
NAMED = {
    "enter": None,
    "escape": None,
    "backspace": None,
    "tab": None,
    "up": None,
    "down": None,
    "left": None,
    "right": None,
    "pageup": None,
    "pagedown": None,
    "home": None,
    "end": None,
    "delete": None,
    "f1": None,
    "ctrl+t": None,
    "space": " ",
    "full_stop": ".",
    "comma": ",",
    "minus": "-",
    "plus": "+",
    "asterisk": "*",
    "slash": "/",
}
LETTERS = "abcdefghijklmnoprstuvwxyzS"


def a_key(chance: random.Random) -> events.Key:
    """Draw a key: mostly digits and Enter, as at the bench."""
    draw = chance.random()
    if draw < 0.5:
        digit = chance.choice("0123456789")
        return events.Key(digit, digit)
    if draw < 0.7:
        return events.Key("enter", None)
    if draw < 0.94:
        name = chance.choice(sorted(NAMED))
        return events.Key(name, NAMED[name])
    letter = chance.choice(LETTERS)
    return events.Key(letter, letter)


async def test_ten_thousand_random_keys(tmp_path: Path) -> None:
    chance = random.Random(20260302)
    path = copy_demo(tmp_path)
    app = FullturnApp(tmp_path, path)
    shown: dict[Path, int] = {}
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        for count in range(1, KEYS + 1):
            app.post_message(a_key(chance))
            if chance.random() < 0.002:
                app.post_message(events.Paste("1.5\n2,5\n" if chance.random() < 0.5 else "x\x1b[31m\n"))
            if count % 100 == 0:
                await pilot.pause()
                for screen in app.screen_stack:
                    if isinstance(screen, ReadingScreen):
                        shown[screen.session.path] = len(screen.session.entries)
                if not any(isinstance(screen, ReadingScreen) for screen in app.screen_stack):
                    app.open_session(path)
                    await pilot.pause()
        await app.workers.wait_for_complete()
        assert app.is_running
        assert app.refused is None
    assert shown
    for recorded, entries in shown.items():
        with Session.read(recorded) as session:
            assert len(session.entries) >= entries
