"""Adding an offset on the screen."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

import pytest
from textual import events
from textual.pilot import Pilot

from sessions.analysis import analyse
from sessions.demo import copy_demo
from sessions.entries import Amend
from sessions.extending import outlook
from sessions.session import Session
from tests.tui.front import front, painted, settled
from tui.screens.ask import AskText
from tui.screens.extend import ExtendScreen
from tui.screens.start import StartScreen
from tui.widgets.row_list import RowList


@asynccontextmanager
async def extending(
    session: Session, *, ascii_only: bool = False, size: tuple[int, int] = (80, 24)
) -> AsyncIterator[tuple[Pilot[None], list[bool | None]]]:
    """Open the screen on a session; what it gives is put into the list."""
    app = front(session.path.parent, ascii_only=ascii_only)
    given: list[bool | None] = []
    async with app.run_test(size=size) as pilot:
        await settled(pilot)
        await app.push_screen(ExtendScreen(session, analyse(session.matrix.snapshot())), given.append)
        await settled(pilot)
        yield pilot, given


@pytest.fixture
def session(tmp_path: Path) -> Session:
    """Return the demo, in which six cells are still to be read."""
    return Session.open(copy_demo(tmp_path))


async def test_enter_adds_the_best_offset_with_its_reason(session: Session) -> None:
    best = outlook(analyse(session.matrix.snapshot())).candidates[0]
    async with extending(session) as (pilot, given):
        first = next(line for line in painted(pilot.app).splitlines() if "▸" in line)
        assert first.split()[1] == str(best.offset)
        assert "6 planned cells are still to be read" in painted(pilot.app)
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(pilot.app.screen, AskText)
        assert "lowers u of a position from" in painted(pilot.app)
        await pilot.press("enter")
        await pilot.pause()
        assert given == [True]
        assert isinstance(pilot.app.screen, StartScreen)
    amend = session.entries[-1]
    assert isinstance(amend, Amend)
    assert amend.value == [0, 1, 3, 7, best.offset]
    assert amend.reason.startswith("lowers u of a position from 0.0445″ to ")


async def test_another_row_and_another_reason(session: Session) -> None:
    chosen = outlook(analyse(session.matrix.snapshot())).candidates[2].offset
    async with extending(session) as (pilot, given):
        await pilot.press("down", "down", "enter")
        await pilot.pause()
        await pilot.press("ctrl+u", *"asked", "enter")
        await pilot.pause()
        assert given == [True]
    assert session.header.design.offsets[-1] == chosen
    assert isinstance(session.entries[-1], Amend)
    assert session.entries[-1].reason == "asked"


async def test_fast_keys_do_not_overtake_each_other(session: Session) -> None:
    chosen = outlook(analyse(session.matrix.snapshot())).candidates[3].offset
    async with extending(session) as (pilot, _):
        for key in ("end", "home", "down", "down", "down", "enter"):
            pilot.app.post_message(events.Key(key, None))
        await pilot.pause()
        await pilot.pause()
        assert f"Why is offset {chosen} added?" in painted(pilot.app)


async def test_leaving_changes_nothing(session: Session) -> None:
    before = session.path.read_bytes()
    async with extending(session) as (pilot, given):
        await pilot.press("enter")
        await pilot.pause()
        await pilot.press("escape")
        await pilot.pause()
        assert isinstance(pilot.app.screen, ExtendScreen)
        await pilot.press("escape")
        await pilot.pause()
        assert given == [False]
    assert session.path.read_bytes() == before


async def test_an_offset_is_taken_back_while_nothing_is_read_at_it(session: Session) -> None:
    async with extending(session) as (pilot, _):
        assert "Take back" not in painted(pilot.app)
        await pilot.press("asterisk")
        await pilot.pause()
        assert isinstance(pilot.app.screen, ExtendScreen)
    session.amend("design.offsets", [0, 1, 3, 7, 9], "one more")
    async with extending(session) as (pilot, given):
        assert "Take back" in painted(pilot.app)
        assert (
            next(line for line in painted(pilot.app).splitlines() if " 270°" in line).split()[-1] == "planned"
        )
        await pilot.press("asterisk")
        await pilot.pause()
        assert "Why is offset 9, the last one, taken away?" in painted(pilot.app)
        await pilot.press("enter")
        await pilot.pause()
        assert given == [True]
    assert session.header.design.offsets == (0, 1, 3, 7)


async def test_planned_cells_count_as_read_when_asked(session: Session) -> None:
    async with extending(session) as (pilot, _):
        before = painted(pilot.app)
        assert "what is not read counts for nothing" in before
        await pilot.press("c")
        await settled(pilot)
        assert "all planned cells count as read" in painted(pilot.app)
        await pilot.press("c")
        await settled(pilot)
        assert painted(pilot.app) == before


async def test_a_session_that_cannot_be_written_says_so_and_stays(session: Session) -> None:
    with Session.open(session.path) as second:
        async with extending(second) as (pilot, given):
            await pilot.press("enter")
            await pilot.pause()
            await pilot.press("enter")
            await pilot.pause()
            assert isinstance(pilot.app.screen, ExtendScreen)
            assert "! nothing can be recorded" in painted(pilot.app)
            assert given == []


@pytest.mark.parametrize("size", [(80, 24), (160, 45)])
async def test_plain_ascii_signs_only(session: Session, size: tuple[int, int]) -> None:
    async with extending(session, ascii_only=True, size=size) as (pilot, _):
        assert pilot.app.screen.query_one(RowList).option_count == 12
        assert painted(pilot.app).isascii(), [s for s in painted(pilot.app).splitlines() if not s.isascii()]
        await pilot.press("enter")
        await pilot.pause()
        assert painted(pilot.app).isascii()
        await pilot.press("escape", "f1")
        await pilot.pause()
        assert painted(pilot.app).isascii()


async def test_a_click_chooses_a_row(session: Session) -> None:
    async with extending(session) as (pilot, _):
        await pilot.click(RowList, offset=(8, 3))
        await pilot.pause()
        assert isinstance(pilot.app.screen, AskText)
        fourth = outlook(analyse(session.matrix.snapshot())).candidates[3].offset
        assert f"Why is offset {fourth} added?" in painted(pilot.app)
