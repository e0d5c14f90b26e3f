"""What the tests of the start screen and the form share."""

from __future__ import annotations

import asyncio
from datetime import UTC, datetime
from pathlib import Path

from textual.app import App
from textual.pilot import Pilot
from textual.widgets import Input

from sessions.design import Design
from sessions.equipment import Circle
from sessions.header import Header
from sessions.session import Session
from tui.app import FullturnApp

NOW = datetime(2026, 3, 4, 9, 0, tzinfo=UTC)


def front(folder: Path, path: Path | None = None, *, ascii_only: bool = False) -> FullturnApp:
    """Return the app with a clock that stands still."""
    app = FullturnApp(folder, path, ascii_only)
    app.clock = lambda: NOW
    return app


def begin(path: Path, title: str, when: datetime, *, cells: int = 0) -> Path:
    """Write a session of 39 cells, some of them filled, and return its file."""
    header = Header(Design(12, (0, 1, 4)), Circle(name="HT-04"), Circle(name="HT-11"), title=title)
    with Session.create(path, header, clock=lambda: when) as session:
        for number in range(cells):
            session.take(number // 13, number % 13, 0.5)
    return path


async def settled(pilot: Pilot[None]) -> None:
    """Wait until the folder was looked into and what was found is shown."""
    await pilot.pause()
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()


async def put(pilot: Pilot[None], field: str, text: str) -> None:
    """Type a text into a field of the form instead of what stands there."""
    line = pilot.app.screen.query_one(f"#field-{field} Input", Input)
    line.focus()
    await pilot.pause()
    line.clear()
    for character in text:
        line.insert_text_at_cursor(character)
    await pilot.pause()


def painted(app: App[None]) -> str:
    """Return what stands on the screen, as text."""
    return "\n".join(
        "".join(segment.text for segment in strip) for strip in app.screen._compositor.render_strips()
    )


async def until(pilot: Pilot[None], said: str) -> str:
    """Wait until a text stands on the screen, and return all that does."""
    for _ in range(200):
        if said in painted(pilot.app):
            return painted(pilot.app)
        await asyncio.sleep(0.01)
    raise AssertionError(f"{said!r} is not on the screen:\n{painted(pilot.app)}")
