"""From Enter to everything painted on the real reading screen: record, screening, matrix, results and plot.

Run with `python -m pytest tests/benchmarks/test_reading_speed.py -s`. The peer is a bare Textual app that shows the
same keys in one line; a frame is 1/60 s.
"""

from __future__ import annotations

import asyncio
import time
from pathlib import Path
from statistics import median

import numpy as np
import pytest
from textual import events
from textual.app import App, ComposeResult
from textual.widgets import Static

from sessions.design import Design
from sessions.entries import Reading
from sessions.equipment import Instrument
from sessions.header import Header
from sessions.session import Session
from tui.app import FullturnApp
from tui.screens.reading import ReadingScreen

FRAME = 1 / 60
TIMES = 25


class Bare(App[None]):
    """The least that can be done with a key: one line repainted."""

    text = ""
    shown = 0

    def compose(self) -> ComposeResult:
        yield Static()

    def on_key(self, event: events.Key) -> None:
        if event.key == "enter":
            self.query_one(Static).update(self.text, layout=False)
            self.text = ""
            self.shown += 1
        else:
            self.text += event.character or ""


def keys(app: App[None], text: str) -> None:
    for character in text:
        app.post_message(events.Key({".": "full_stop", "-": "minus"}.get(character, character), character))
    app.post_message(events.Key("enter", None))


class Stack:
    """An invented stack of n positions that reads what is set."""

    def __init__(self, n: int) -> None:
        self.n = n
        self.chance = np.random.default_rng(20260302)
        self.lower, self.upper = self.chance.normal(0, 0.1, n), self.chance.normal(0, 0.1, n)

    def reads(self, run: int, step: int) -> float:
        seen = run % 9 + self.lower[step] + self.upper[(run - step) % self.n] + self.chance.normal(0, 0.03)
        return round(float(seen), 2)


def filled(path: Path, stack: Stack, share: float) -> Session:
    """Return an n by n session with a share of its readings taken."""
    n = stack.n
    design = Design(positions=n, offsets=tuple(range(n)), closing=False)
    session = Session.create(path, Header(design=design, instrument=Instrument(resolution=0.01)))
    for number in range(1, int(share * n * n) + 1):
        run, step = divmod(number - 1, n)
        # Straight into the state: what is timed is one more reading, not the ones before.
        session._state.apply(Reading(number, session._clock(), run, step, stack.reads(run, step)))
    return session


async def settled(screen: ReadingScreen, entries: int) -> None:
    while len(screen.session.entries) < entries or screen.solving.busy:
        await asyncio.sleep(0)
    while screen.app._batch_count or screen._dirty_widgets or screen._layout_required:
        await asyncio.sleep(0)


async def bare_time() -> float:
    app = Bare()
    times = []
    async with app.run_test(size=(160, 45)) as pilot:
        await pilot.pause()
        for count in range(1, TIMES + 1):
            begin = time.perf_counter()
            keys(app, "0.12")
            while app.shown < count or app.screen._dirty_widgets:
                await asyncio.sleep(0)
            times.append(time.perf_counter() - begin)
            await pilot.pause(0.02)
    return median(times)


async def reading_time(folder: Path, n: int) -> float:
    stack = Stack(n)
    session = filled(folder / f"{n}.toml", stack, 0.6)
    app = FullturnApp(folder)
    times = []
    async with app.run_test(size=(160, 45)) as pilot:
        await pilot.pause()
        screen = ReadingScreen(session)
        await app.push_screen(screen)
        await app.workers.wait_for_complete()
        await pilot.pause(0.3)
        for _ in range(TIMES):
            entries = len(session.entries)
            typed = f"{stack.reads(screen.flow.place.run, screen.flow.place.step):.2f}"
            begin = time.perf_counter()
            keys(app, typed)
            await settled(screen, entries + 1)
            times.append(time.perf_counter() - begin)
            await pilot.pause(0.05)
    return median(times)


@pytest.mark.parametrize("n", [12, 72])
def test_enter_to_everything_painted(tmp_path: Path, n: int) -> None:
    bare = asyncio.run(bare_time())
    full = asyncio.run(reading_time(tmp_path, n))
    print(
        f"\nEnter to everything painted at {n}×{n}: {full / FRAME:.2f} frames, {full / bare:.1f} × a bare app"
    )
    assert full > 0
