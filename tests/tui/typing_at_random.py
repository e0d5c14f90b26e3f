"""Random keys and pastes: no crash, and every reading acknowledged is in the file."""

from __future__ import annotations

import random
from dataclasses import dataclass
from pathlib import Path

from textual import events

from sessions.demo import copy_demo
from sessions.session import Session
from tui.app import FullturnApp
from tui.screens.reading import ReadingScreen

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
    "ctrl+j": "\n",
    "space": " ",
    "full_stop": ".",
    "comma": ",",
    "minus": "-",
    "plus": "+",
    "asterisk": "*",
    "slash": "/",
}
LETTERS = "abcdefghijklmnoprstuvwxyzS"
PASTES = (
    "1.5\n2,5\n",
    "x\x1b[31m\n",
    "1,25\r\n-0,5\r\n",
    "−3.25",
    "٣\n",
    "\n" * 9,
    "12 34",
    "1" * 5000,
    "1\x002\n",
    "",
)


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


@dataclass(slots=True)
class Typed:
    """What was typed: keys, pastes, and entries that came of them in all files."""

    keys: int = 0
    pastes: int = 0
    entries: int = 0


async def type_at_random(folder: Path, keys: int, seed: int) -> Typed:
    """Type keys and pastes at random on the demo and whatever it leads to, and check every file written.

    Every ten thousand keys it begins anew, on a fresh copy of the demo, so that files do not grow without end.
    """
    done = Typed()
    for start in range(0, keys, 10_000):
        inside = folder / str(start)
        inside.mkdir()
        await _one(inside, min(10_000, keys - start), random.Random(seed + start), done)
    return done


async def _one(folder: Path, keys: int, chance: random.Random, done: Typed) -> None:
    path = copy_demo(folder)
    app = FullturnApp(folder, path)
    shown: dict[Path, tuple[object, ...]] = {}
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        for count in range(1, keys + 1):
            app.post_message(a_key(chance))
            done.keys += 1
            if chance.random() < 0.004:
                app.post_message(events.Paste(chance.choice(PASTES)))
                done.pastes += 1
            if count % 100 == 0:
                await pilot.pause()
                reading = [screen for screen in app.screen_stack if isinstance(screen, ReadingScreen)]
                shown.update((screen.session.path, screen.session.entries) for screen in reading)
                if not reading:
                    app.open_session(path)
                    await pilot.pause()
        await app.workers.wait_for_complete()
        assert app.is_running
        assert app.refused is None
    assert shown
    for recorded, entries in shown.items():
        with Session.read(recorded) as session:
            assert session.entries[: len(entries)] == entries
            done.entries += len(session.entries)
