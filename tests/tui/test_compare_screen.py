"""The comparison screen, driven by keys."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from datetime import timedelta
from pathlib import Path

import numpy as np
import pytest
from textual.pilot import Pilot
from textual.widgets import Static

from sessions.design import Design
from sessions.equipment import Circle
from sessions.header import Header
from solver.turned import Turn
from tests.sessions.simulated import DAY, HT04, HT11, errors, header, record
from tui.app import FullturnApp
from tui.screens.compare import CompareScreen
from tui.widgets.plot import ErrorPlot

YEAR = timedelta(days=365)
OTHER = Circle("index table", "HT-20", "3")
A, B, C = errors(12, 1), errors(12, 2), errors(12, 3)
COMPLETE, PARTIAL = Design(12, tuple(range(12))), Design(12, (0, 1, 4))


@pytest.fixture
def files(tmp_path: Path) -> dict[str, Path]:
    return {
        "old": record(tmp_path / "old.toml", header(COMPLETE), A, B, 0.05, 21),
        "same": record(tmp_path / "same.toml", header(PARTIAL, OTHER, HT04), C, A, 0.05, 22, DAY + YEAR),
        "turned": record(
            tmp_path / "turned.toml",
            header(COMPLETE, upper=OTHER),
            np.roll(A, -3),
            C,
            0.05,
            23,
            DAY + 2 * YEAR,
        ),
        "swapped": record(
            tmp_path / "swapped.toml", header(COMPLETE, HT11, HT04), B, A, 0.05, 24, DAY + YEAR
        ),
    }


@asynccontextmanager
async def comparing(
    *paths: Path, size: tuple[int, int] = (120, 36), ascii_only: bool = False
) -> AsyncIterator[tuple[Pilot[None], CompareScreen]]:
    app = FullturnApp(paths[0].parent, ascii_only=ascii_only)
    async with app.run_test(size=size) as pilot:
        screen = CompareScreen(paths)
        await app.push_screen(screen)
        await settled(pilot)
        yield pilot, screen


async def settled(pilot: Pilot[None]) -> None:
    for _ in range(3):
        await pilot.pause()
        await pilot.app.workers.wait_for_complete()
    await pilot.pause()


def words(screen: CompareScreen) -> str:
    return str(screen.query_one("#words", Static).visual)


async def test_numbers_and_plot_side_by_side(files: dict[str, Path]) -> None:
    async with comparing(files["old"], files["same"]) as (pilot, screen):
        assert "index table HT-04 17: 2 sessions" in words(screen)
        assert "no change seen" in words(screen)
        assert screen.query_one("#numbers").size.width >= 80
        plot = screen.query_one(ErrorPlot)
        assert plot.size.width > 25
        assert any("U" in strip.text for strip in (plot.render_line(y) for y in range(plot.size.height)))
        assert "Session 2 minus session 1" in str(screen.query_one("#what", Static).visual)
        assert not screen.check_action("turn", ())
        await pilot.press("escape")
        assert not isinstance(pilot.app.screen, CompareScreen)


async def test_a_small_screen_shows_one_pane_at_a_time(files: dict[str, Path]) -> None:
    async with comparing(files["old"], files["same"], size=(80, 24)) as (pilot, screen):
        numbers, plot = screen.query_one("#numbers"), screen.query_one("#plot")
        assert (numbers.display, plot.display) == (True, False)
        await pilot.press("tab")
        assert (numbers.display, plot.display) == (False, True)
        assert screen.query_one(ErrorPlot).size.height > 12
        await pilot.press("slash")
        assert (numbers.display, plot.display) == (True, False)


async def test_a_turn_is_offered_applied_by_a_key_and_taken_back(files: dict[str, Path]) -> None:
    async with comparing(files["old"], files["turned"]) as (pilot, screen):
        assert "looks as if position 3 became 0" in words(screen)
        assert "If it was, press t." in " ".join(words(screen).split())
        assert screen.comparison is not None
        assert screen.comparison.parts[1].turn == Turn()
        assert screen.check_action("turn", ())
        await pilot.press("t")
        await settled(pilot)
        assert screen.comparison.parts[1].turn == Turn(3)
        assert "no change seen" in words(screen)
        await pilot.press("t")
        await settled(pilot)
        assert screen.comparison.parts[1].turn == Turn()
        assert "looks as if" in words(screen)


async def test_where_two_circles_may_be_meant_the_lower_is_shown_and_a_key_chooses(
    files: dict[str, Path],
) -> None:
    async with comparing(files["old"], files["swapped"]) as (pilot, screen):
        assert "index table HT-04 17" in words(screen)
        await pilot.press("u")
        await settled(pilot)
        assert "index table HT-11 5" in words(screen)
        assert screen.comparison is not None
        assert [part.which for part in screen.comparison.parts] == ["upper", "lower"]
        await pilot.press("l")
        await settled(pilot)
        assert "index table HT-04 17" in words(screen)


async def test_pairs_of_any_names_are_one_key_away(files: dict[str, Path]) -> None:
    async with comparing(files["old"], files["swapped"]) as (pilot, screen):
        every = [(first, later) for first in ("lower", "upper") for later in ("lower", "upper")]
        for pair in (*every[2:], *every[:2], every[2]):
            await pilot.press("o")
            await settled(pilot)
            assert screen.comparison is not None
            assert tuple(part.which for part in screen.comparison.parts) == pair
            if pair == ("upper", "upper"):
                said = " ".join(words(screen).split())
                assert "they are compared as chosen" in said
                assert "index table HT-11 5 and index table HT-04 17: 2 sessions" in said


async def test_the_plot_goes_through_the_sessions(files: dict[str, Path]) -> None:
    async with comparing(files["old"], files["same"], files["turned"]) as (pilot, screen):
        what = screen.query_one("#what", Static)
        assert "same.toml" in str(what.visual)
        await pilot.press("n")
        assert "Session 3 minus session 1: turned.toml" in str(what.visual)
        await pilot.press("n")
        assert "same.toml" in str(what.visual)


async def test_what_is_refused_is_said(files: dict[str, Path]) -> None:
    missing = files["old"].with_name("missing.toml")
    async with comparing(files["old"], missing) as (pilot, screen):
        assert "no such file" in words(screen)
        assert not screen.query_one(ErrorPlot).display
        await pilot.press("escape")
        assert not isinstance(pilot.app.screen, CompareScreen)


SINGLE = Design(12, (0, 0), closure="single", reading="interval")
NAMELESS = header(PARTIAL, Circle(), Circle())
STRANGE = header(PARTIAL, OTHER, Circle("polygon", "P-6", "8"))


@pytest.mark.parametrize(
    ("first", "later", "key", "what", "keys"),
    [
        (
            NAMELESS,
            NAMELESS,
            "",
            "have no names",
            "Press l for the lower circles, u for the upper ones, o to go",
        ),
        (
            header(PARTIAL),
            STRANGE,
            "",
            "no circle stands in every",
            "the same one all the same, press o until",
        ),
        (header(PARTIAL), STRANGE, "l", "does not stand here", "the same one all the same, press o until"),
        (
            header(PARTIAL),
            header(PARTIAL, HT04, HT04),
            "l",
            "both circles are called",
            "Press o to go through",
        ),
        (NAMELESS, header(SINGLE, HT04), "u", "no upper circle", "Press l for the lower circle, or o"),
    ],
    ids=["nameless", "strangers", "absent", "twins", "single"],
)
async def test_a_refusal_names_the_key_that_helps(
    tmp_path: Path, first: Header, later: Header, key: str, what: str, keys: str
) -> None:
    paths = [
        record(tmp_path / f"{number}.toml", head, A, B, 0.05, 30 + number, DAY + number * YEAR)
        for number, head in enumerate((first, later))
    ]
    async with comparing(*paths) as (pilot, screen):
        if key:
            await pilot.press(key)
            await settled(pilot)
        said = " ".join(words(screen).split())
        assert what in said
        assert keys in said
        assert "--" not in said
        for _ in range(4):
            await pilot.press("o")
            await settled(pilot)
            if screen.comparison is not None:
                break
        assert screen.comparison is not None


async def test_turns_without_common_places_are_taken_back_by_a_key(tmp_path: Path) -> None:
    """Of two later sessions of 12 positions one began a step of 36 on, and so has none in common with the other."""
    fine, many = errors(36, 7), Design(36, (0, 1, 3))
    plans = ((many, fine), (COMPLETE, np.roll(fine, -1)[::3]), (COMPLETE, fine[::3]))
    paths = [
        record(
            tmp_path / f"{number}.toml",
            header(design, upper=OTHER),
            truth,
            errors(len(truth), 9),
            0.02,
            40 + number,
            DAY + number * YEAR,
        )
        for number, (design, truth) in enumerate(plans)
    ]
    async with comparing(*paths) as (pilot, screen):
        await pilot.press("l")
        await settled(pilot)
        assert "position 1 became 0 in session 2" in " ".join(words(screen).split())
        assert screen.comparison is not None
        offer = screen.comparison.pairs[0].offer
        assert offer is not None
        assert offer.found.turn == Turn(1)
        assert screen.comparison.pairs[1].offer is None
        await pilot.press("t")
        await settled(pilot)
        assert "no positions in common. Press l, u or o" in " ".join(words(screen).split())
        await pilot.press("l")
        await settled(pilot)
        assert screen.comparison is not None
        assert screen.comparison.parts[1].turn == Turn()


async def test_plain_ascii(files: dict[str, Path]) -> None:
    async with comparing(files["old"], files["turned"], ascii_only=True) as (_, screen):
        assert words(screen).isascii()
        assert str(screen.query_one("#what", Static).visual).isascii()
