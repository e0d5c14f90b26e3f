"""The record on the screen: everything that happened, in order, narrowed to a kind, also when it is long."""

from __future__ import annotations

from pathlib import Path

import pytest

from sessions.design import Design
from sessions.header import Header
from sessions.session import Session
from tests.sessions.certified import certified, header
from tests.tui.front import painted
from tests.tui.test_reading import LATIN, at_bench, settled
from tui.record_words import Kind, RecordWords, by_kind
from tui.screens.reading import ReadingScreen
from tui.screens.record import RecordScreen
from tui.widgets.line_list import LineList
from tui.widgets.marks import ASCII, UNICODE


def eventful(path: Path) -> Path:
    """Write a session in which one of everything happened."""
    with Session.create(path, Header(design=LATIN)) as session:
        session.take(0, 0, 24.0)
        session.take(0, 1, 17.0)
        session.strike(1, "door opened")
        session.restore(1)
        session.keep(2, "checked")
        session.split(0, 3, "mirror knocked")
        session.note("sun on the\nstack")
        session.conditions(20.5, None, 45.0, "draught")
        session.amend("operator", "M", "forgotten")
        session.setup("levelling", {"verdict": "passes", "found": "level", "tilt": 1.5})
    return path


def test_every_kind_of_entry_is_said_in_words(tmp_path: Path) -> None:
    with Session.read(eventful(tmp_path / "all.toml")) as session:
        words = RecordWords(session.entries, session.matrix, UNICODE)
        said = [words.line(place)[25:] for place in range(10)]
        assert said == [
            "run 0, step 0: +24.00",
            "run 0, step 1: +17.00 † kept",
            "struck: reading 1, run 0, step 0: +24.00; door opened",
            "restored: reading 1, run 0, step 0: +24.00",
            "kept: reading 2, run 0, step 1: +17.00; checked",
            "run 0 split before step 3; mirror knocked",
            "note: sun on the stack",
            "conditions: 20.5 °C, 45 % r. h.; draught",
            "amended: operator = M; forgotten",
            "worksheet levelling: level",
        ]
        assert "tilt 1.5" in words.more(9)
        assert [words.place_of(place) for place in (2, 3, 4, 5, 6)] == [(0, 0), (0, 0), (0, 1), (0, 3), None]
        assert {kind: len(places) for kind, places in by_kind(session.entries).items()} == {
            Kind.ALL: 10,
            Kind.READINGS: 2,
            Kind.STRIKES: 4,
            Kind.NOTES: 1,
            Kind.CONDITIONS: 1,
            Kind.AMENDMENTS: 1,
            Kind.WORKSHEETS: 1,
        }
        assert RecordWords(session.entries, session.matrix, ASCII).line(1).endswith("+17.00 k kept")


def test_budget_and_certificate_are_said_in_words(tmp_path: Path) -> None:
    with certified(tmp_path / "a.toml", header(6)) as session:
        words = RecordWords(session.entries, session.matrix, UNICODE)
        places = by_kind(session.entries)[Kind.WORKSHEETS]
        said = {words.line(place): words.more(place) for place in places}
    budget = next(
        more for line, more in said.items() if "uncertainty budget: 4 lines, 3 with a figure" in line
    )
    assert "instrument scale: 0.002; mirror flatness: 0.02" in budget
    assert "not known: no figure" in budget
    page = next(
        more for line, more in said.items() if "certificate: FT-2026-017, Invented Standards Room" in line
    )
    assert "Authorised by: B. Example" in page
    assert "{" not in budget + page


@pytest.mark.parametrize("size", [(80, 24), (120, 36), (20, 5)])
async def test_narrowed_to_a_kind_and_from_an_entry_to_its_cell(
    tmp_path: Path, size: tuple[int, int]
) -> None:
    async with at_bench(eventful(tmp_path / "all.toml"), size) as pilot:
        await settled(pilot)
        await pilot.press("l")
        await pilot.pause()
        screen = pilot.app.screen
        assert isinstance(screen, RecordScreen)
        assert screen.query_one(LineList).item == 9
        await pilot.press("right", "right")
        await pilot.pause()
        assert screen.query_one(LineList).item == 5
        if size[0] >= 80:
            assert "[strikes 4]" in painted(pilot.app)
            assert "door opened" in painted(pilot.app)
            assert "levelling" not in painted(pilot.app)
        await pilot.press("home", "enter")
        await settled(pilot)
        assert isinstance(pilot.app.screen, ReadingScreen)
        assert (pilot.app.screen.flow.place.run, pilot.app.screen.flow.place.step) == (0, 0)


async def test_a_long_record_makes_only_the_lines_that_are_drawn(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "long.toml"
    design = Design(12, tuple(range(12)), closing=False)
    with Session.create(path, Header(design=design)) as session:
        for number in range(1000):
            session.take(number // 12 % 12, number % 12, 0.5)
    made: list[int] = []
    line = RecordWords.line

    def counted(self: RecordWords, place: int) -> str:
        made.append(place)
        return line(self, place)

    monkeypatch.setattr(RecordWords, "line", counted)
    async with at_bench(path, (80, 24)) as pilot:
        await settled(pilot)
        await pilot.press("l")
        await pilot.pause()
        assert "1000  " in painted(pilot.app)
        assert len(set(made)) <= 24
        await pilot.press("home")
        await pilot.pause()
        assert len(set(made)) <= 48


async def test_an_empty_record_says_so(tmp_path: Path) -> None:
    path = tmp_path / "empty.toml"
    Session.create(path, Header(design=LATIN)).close()
    async with at_bench(path) as pilot:
        await settled(pilot)
        await pilot.press("l")
        await pilot.pause()
        assert "Nothing is recorded yet." in painted(pilot.app)
        await pilot.press("enter", "l")
        await pilot.pause()
        assert isinstance(pilot.app.screen, ReadingScreen)
