"""Finer steps on the screen."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

import pytest
from textual.pilot import Pilot

from sessions.analysis import analyse
from sessions.demo import copy_demo
from sessions.design import Arc, Design
from sessions.entries import Amend
from sessions.header import Header
from sessions.session import Session
from sessions.subdivision import proposed, subdivide
from tests.sessions.kit import Clock, QuickDisk
from tests.tui.front import front, painted, put, settled
from tui.screens.ask import AskText
from tui.screens.extend import ExtendScreen
from tui.screens.subdivide import SubdivideScreen
from tui.widgets.field import Field


async def quiet(pilot: Pilot[None]) -> None:
    for _ in range(3):
        await settled(pilot)


@asynccontextmanager
async def finer(
    session: Session, *, ascii_only: bool = False, size: tuple[int, int] = (80, 24)
) -> AsyncIterator[tuple[Pilot[None], list[bool | None]]]:
    """Open the screen by the key of the one before it; what that one gives is put into the list."""
    app = front(session.path.parent, ascii_only=ascii_only)
    given: list[bool | None] = []
    async with app.run_test(size=size) as pilot:
        await settled(pilot)
        await app.push_screen(ExtendScreen(session, analyse(session.matrix.snapshot())), given.append)
        await settled(pilot)
        assert "Finer steps" in painted(app)
        await pilot.press("s")
        await quiet(pilot)
        yield pilot, given


@pytest.fixture
def session(tmp_path: Path) -> Session:
    """Return the demo: 12 positions, offsets 0, 1, 3, 7, six cells still to be read."""
    return Session.open(copy_demo(tmp_path))


def field(pilot: Pilot[None], name: str) -> str:
    return pilot.app.screen.query_one(f"#field-{name}", Field).value


@pytest.mark.parametrize("size", [(80, 24), (160, 45)])
async def test_steps_typed_offsets_proposed_and_the_arcs_added(
    session: Session, size: tuple[int, int]
) -> None:
    old = session.header.design
    best = proposed(old, 30)
    async with finer(session, size=size) as (pilot, given):
        assert "Type how many fine steps an interval has." in painted(pilot.app)
        await pilot.press("3", "0")
        await quiet(pilot)
        assert field(pilot, "offsets") == " ".join(map(str, best))
        assert "all arcs" in painted(pilot.app)
        await put(pilot, "arcs", "0 3")
        await quiet(pilot)
        shown = painted(pilot.app)
        for words in (
            "1° apart, 360 to the circle, 58 more lower positions",
            f"{2 * len(best)} more over 2 arcs",
            "a complete closure takes ",
            "from position 0 inside the arcs",
            "everything, with ",
            "Add the arcs",
        ):
            assert words in shown
        assert "Take back arcs" not in shown
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(pilot.app.screen, AskText)
        await pilot.press("enter")
        await quiet(pilot)
        assert given == [True]
    assert session.header.design.subdivision == 30
    assert session.header.design.arcs == tuple(Arc(start, offset) for start in (0, 90) for offset in best)
    last = session.entries[-1]
    assert isinstance(last, Amend)
    assert (last.field, last.reason) == ("design.arcs", "steps of 1°")


async def test_enter_before_all_is_worked_out_waits_for_it(session: Session) -> None:
    async with finer(session) as (pilot, _):
        await pilot.press("5", "enter")
        await quiet(pilot)
        assert isinstance(pilot.app.screen, AskText)
        await pilot.press("enter")
        await quiet(pilot)
    assert session.header.design.subdivision == 5


async def test_what_stays_open_is_said_while_one_types(session: Session) -> None:
    async with finer(session) as (pilot, _):
        await put(pilot, "steps", "30")
        await put(pilot, "arcs", "0")
        await put(pilot, "offsets", "0 3 6")
        await quiet(pilot)
        assert "Arc offsets that are all multiples of 3" in painted(pilot.app)
        assert "not determined at" in painted(pilot.app)
        await put(pilot, "offsets", "0 3 6 7")
        await quiet(pilot)
        assert "everything, with" in painted(pilot.app)


async def test_offsets_typed_stay_when_the_steps_change(session: Session) -> None:
    async with finer(session) as (pilot, _):
        await put(pilot, "steps", "10")
        await quiet(pilot)
        first = field(pilot, "offsets")
        await put(pilot, "steps", "6")
        await quiet(pilot)
        assert field(pilot, "offsets") != first
        await put(pilot, "offsets", "0 1 3")
        await put(pilot, "steps", "8")
        await quiet(pilot)
        assert field(pilot, "offsets") == "0 1 3"


@pytest.mark.parametrize(
    ("steps", "arcs", "offsets", "said"),
    [
        ("1", "all", "", "whole number, 2 to 3600"),
        ("30", "12", "", "there is no arc 12"),
        ("30", "some", "", "no whole number"),
        ("30", "0", "0 x", "no whole number"),
        ("300", "all", "0 1", "at most 1440"),
    ],
)
async def test_what_is_wrong_stands_at_its_field_and_nothing_is_added(
    session: Session, steps: str, arcs: str, offsets: str, said: str
) -> None:
    before = session.path.read_bytes()
    async with finer(session) as (pilot, given):
        await put(pilot, "steps", steps)
        await put(pilot, "arcs", arcs)
        await put(pilot, "offsets", offsets)
        await quiet(pilot)
        await pilot.press("enter")
        await quiet(pilot)
        assert isinstance(pilot.app.screen, SubdivideScreen)
        assert said in " ".join(painted(pilot.app).split())
        assert given == []
    assert session.path.read_bytes() == before


async def test_arcs_not_begun_are_taken_back(session: Session) -> None:
    subdivide(session, 30, (0,), (0, 1, 4), "every degree")
    async with finer(session) as (pilot, given):
        assert field(pilot, "steps") == "30"
        assert "The plan has 3 runs over arcs in 30 fine steps already." in " ".join(
            painted(pilot.app).split()
        )
        assert "Take back arcs" in painted(pilot.app)
        await pilot.press("f8")
        await pilot.pause()
        assert "Why are the 3 runs over arcs taken away" in painted(pilot.app)
        await pilot.press("enter")
        await quiet(pilot)
        assert given == [True]
    assert session.header.design.arcs == ()


async def test_leaving_changes_nothing(session: Session) -> None:
    before = session.path.read_bytes()
    async with finer(session) as (pilot, given):
        await pilot.press("3", "0", "escape")
        await quiet(pilot)
        assert isinstance(pilot.app.screen, ExtendScreen)
        await pilot.press("escape")
        await quiet(pilot)
        assert given == [False]
    assert session.path.read_bytes() == before


async def test_a_session_that_cannot_be_written_says_so(session: Session) -> None:
    with Session.open(session.path) as second:
        async with finer(second) as (pilot, given):
            await pilot.press("5", "enter")
            await quiet(pilot)
            await pilot.press("enter")
            await quiet(pilot)
            assert isinstance(pilot.app.screen, SubdivideScreen)
            assert "! nothing can be recorded" in painted(pilot.app)
            assert given == []


@pytest.mark.parametrize(
    ("design", "said"),
    [
        (Design(12, (0,), closure="single", reading="interval", closing=False), "finer steps need two"),
        (
            Design(12, (0, 1), reading="interval", closing=False),
            'this session reads by "interval", and finer steps need "position"',
        ),
    ],
)
async def test_where_there_are_no_finer_steps_that_is_said(tmp_path: Path, design: Design, said: str) -> None:
    with Session.create(tmp_path / "s.toml", Header(design), clock=Clock(), disk=QuickDisk()) as session:
        async with finer(session) as (pilot, _):
            assert isinstance(pilot.app.screen, ExtendScreen)
            assert said in painted(pilot.app)


async def test_plain_ascii_signs_only(session: Session) -> None:
    async with finer(session, ascii_only=True) as (pilot, _):
        await pilot.press("3", "0")
        await quiet(pilot)
        assert painted(pilot.app).isascii()
        await put(pilot, "offsets", "0 30")
        await quiet(pilot)
        assert painted(pilot.app).isascii()
        await pilot.press("f1")
        await pilot.pause()
        assert painted(pilot.app).isascii()
