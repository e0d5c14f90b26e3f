"""The budget on the screen."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from threading import Event

import pytest
from textual.pilot import Pilot
from textual.widgets import Input

from sessions.budget import budget_of
from sessions.equipment import Circle
from sessions.session import Session
from tests.sessions.certified import LINES, certified, header, taken
from tests.tui.front import front, painted, settled
from tui.app import FullturnApp
from tui.screens.ask import Confirm
from tui.screens.budget import BudgetScreen
from tui.screens.budget_line import BudgetLineScreen
from tui.widgets.field import Field


@pytest.fixture
def fresh(tmp_path: Path) -> Iterator[Session]:
    with taken(tmp_path / "a.toml", header(6)) as session:
        yield session


def words(app: FullturnApp) -> str:
    """Return what stands on the screen, on one line."""
    return " ".join(painted(app).split())


async def opened(pilot: Pilot[None], session: Session) -> BudgetScreen:
    """Push the screen and wait until it is worked out."""
    await settled(pilot)
    screen = BudgetScreen(session)
    pilot.app.push_screen(screen)
    await worked(pilot, screen)
    return screen


async def worked(pilot: Pilot[None], screen: BudgetScreen) -> None:
    for _ in range(100):
        await settled(pilot)
        if screen.is_mounted and not screen.working:
            await settled(pilot)
            return
    raise AssertionError("the budget does not settle")


async def typed(pilot: Pilot[None], field: str, text: str) -> None:
    line = pilot.app.screen.query_one(f"#field-{field} Input", Input)
    line.value = text
    await pilot.pause()


@pytest.mark.parametrize("size", [(80, 24), (120, 36)])
async def test_lines_to_begin_with_are_proposed(
    fresh: Session, tmp_path: Path, size: tuple[int, int]
) -> None:
    app = front(tmp_path)
    async with app.run_test(size=size) as pilot:
        screen = await opened(pilot, fresh)
        seen = painted(app)
        lines = seen.splitlines()
        for name in ("scatter of the readings", "instrument linearity", "mirror flatness with beam walk"):
            assert any(name in line for line in lines)
        at = next(number for number, line in enumerate(lines) if "seating repeatability of the" in line)
        assert "circle" in lines[at] + lines[at + 1]
        assert "…" not in seen
        assert "Not recorded: the certificate counts type A alone until Ctrl+S" in seen
        assert "not assessed" in seen
        assert len(screen.budget.lines) == 8
        await pilot.press("escape")
        await pilot.pause()
        assert not isinstance(app.screen, BudgetScreen)
    assert budget_of(fresh.entries, 6) is None


async def test_a_line_is_changed_and_recorded(fresh: Session, tmp_path: Path) -> None:
    app = front(tmp_path)
    async with app.run_test(size=(100, 36)) as pilot:
        screen = await opened(pilot, fresh)
        await pilot.press("down", "down", "enter")
        await pilot.pause()
        assert isinstance(app.screen, BudgetLineScreen)
        await typed(pilot, "figure", "0.2")
        assert "u = 0.12" in painted(app)
        await pilot.press("ctrl+s")
        await worked(pilot, screen)
        assert screen.budget.lines[1].half_width == 0.2
        row = next(line for line in painted(app).splitlines() if "instrument linearity" in line)
        assert row.split()[-2:] == ["96", "%"] or int(row.split()[-2]) > 80
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert "Recorded: certificate and results count these lines." in painted(app)
        assert not screen.changed
        recorded = budget_of(fresh.entries, 6)
        assert recorded == screen.budget
        await pilot.press("escape")
        await pilot.pause()
        assert not isinstance(app.screen, BudgetScreen)


async def test_what_is_wrong_stays_in_the_form(fresh: Session, tmp_path: Path) -> None:
    app = front(tmp_path)
    async with app.run_test(size=(100, 40)) as pilot:
        screen = await opened(pilot, fresh)
        await pilot.press("a")
        await pilot.pause()
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert isinstance(app.screen, BudgetLineScreen)
        await typed(pilot, "name", "own")
        await typed(pilot, "figure", "-3")
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert "0 or more" in painted(app)
        await typed(pilot, "figure", "0.01")
        await pilot.press("ctrl+s")
        await worked(pilot, screen)
        assert screen.budget.lines[-1].name == "own"


async def test_remove_count_view_and_coverage(tmp_path: Path) -> None:
    app = front(tmp_path)
    with certified(tmp_path / "a.toml", header(6)) as session:
        async with app.run_test(size=(120, 36)) as pilot:
            screen = await opened(pilot, session)
            assert screen.budget.lines == LINES
            assert "Recorded: certificate and results count these lines." in painted(app)
            await pilot.press("c")
            assert screen.budget.lines == LINES
            await pilot.press("down", "c")
            await worked(pilot, screen)
            assert not screen.budget.lines[0].counted
            assert "left out" in painted(app)
            await pilot.press("down", "d")
            await worked(pilot, screen)
            assert [line.name for line in screen.budget.lines] == [
                LINES[0].name,
                *(x.name for x in LINES[2:]),
            ]
            assert "about the mean" in painted(app)
            await pilot.press("v")
            await pilot.pause()
            assert "interval from" in painted(app)
            await pilot.press("v")
            await pilot.pause()
            assert "of any two positions" in painted(app)
            await pilot.press("k")
            await pilot.pause()
            app.screen.query_one(Input).value = "99"
            await pilot.press("enter")
            await worked(pilot, screen)
            assert screen.budget.probability == 0.99
            assert "at 99 %" in words(app)
            await pilot.press("escape")
            await pilot.pause()
            assert isinstance(app.screen, Confirm)
            await pilot.press("s")
            await pilot.pause()
            assert app.screen is screen


async def test_nothing_determined(tmp_path: Path) -> None:
    app = front(tmp_path)
    with taken(tmp_path / "a.toml", header(6, offsets=(0,))) as session:
        async with app.run_test(size=(80, 24)) as pilot:
            await opened(pilot, session)
            assert "No result is determined" in painted(app)


async def test_read_only_says_so(tmp_path: Path) -> None:
    taken(tmp_path / "a.toml", header(6)).close()
    app = front(tmp_path)
    with Session.read(tmp_path / "a.toml") as session:
        async with app.run_test(size=(80, 24)) as pilot:
            await opened(pilot, session)
            await pilot.press("ctrl+s")
            await pilot.pause()
            assert any("nothing can be recorded" in notice.message for notice in app._notifications)
            assert budget_of(session.entries, 6) is None


async def test_plain_ascii(fresh: Session, tmp_path: Path) -> None:
    app = front(tmp_path, ascii_only=True)
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(pilot, fresh)
        assert painted(app).isascii()
        await pilot.press("a")
        await pilot.pause()
        assert painted(app).isascii()


async def test_circles_are_called_what_they_are(tmp_path: Path) -> None:
    plan = replace(header(6, arrangement="face by face"), upper=Circle("polygon", "P-6", "3"))
    app = front(tmp_path)
    with certified(tmp_path / "a.toml", plan) as session:
        async with app.run_test(size=(80, 24)) as pilot:
            await opened(pilot, session)
            assert "table, position" in words(app)
            await pilot.press("down", "down", "down", "down")
            await pilot.pause()
            assert "grows round the circle; table only" in words(app)
            await pilot.press("v", "v", "v")
            await pilot.pause()
            assert "polygon, face" in words(app)
            await pilot.press("enter")
            await pilot.pause()
            assert app.screen.query_one("#field-circle", Field).value == "lower"
            assert "both" in words(app)
            choices = words(app).replace("●", "").replace("○", "").split()
            assert choices[choices.index("both") :][:3] == ["both", "table", "polygon"]


async def test_a_budget_that_was_changed_says_so(tmp_path: Path) -> None:
    app = front(tmp_path)
    with certified(tmp_path / "a.toml", header(6)) as session:
        async with app.run_test(size=(80, 24)) as pilot:
            screen = await opened(pilot, session)
            await pilot.press("down", "c")
            await worked(pilot, screen)
            assert "Changed: the certificate counts the lines as they were until Ctrl+S (F10)." in painted(
                app
            )
            await pilot.press("f10")
            await pilot.pause()
            assert "Recorded: certificate and results count these lines." in painted(app)


async def test_the_fixed_angle_is_among_the_results(tmp_path: Path) -> None:
    plan = header(6, closure="single", reading="interval", offsets=(0, 0))
    app = front(tmp_path)
    with certified(tmp_path / "a.toml", plan) as session:
        async with app.run_test(size=(80, 24)) as pilot:
            screen = await opened(pilot, session)
            await pilot.press("v", "v", "v")
            await pilot.pause()
            assert "the fixed angle: u = " in words(app)
            await pilot.press("enter")
            assert app.screen is screen


async def test_it_may_be_drawn_anew_while_a_new_line_is_worked_out(fresh: Session, tmp_path: Path) -> None:
    app = front(tmp_path)
    async with app.run_test(size=(100, 36)) as pilot:
        screen = await opened(pilot, fresh)
        go_on = Event()
        work = screen._working._work
        screen._working._work = lambda budget: (go_on.wait(10), work(budget))[1]
        await pilot.press("a")
        await pilot.pause()
        await typed(pilot, "name", "own")
        await typed(pilot, "figure", "0.1")
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert screen.working
        await pilot.resize_terminal(90, 30)
        await pilot.pause()
        assert "own" in painted(app)
        go_on.set()
        await worked(pilot, screen)
        row = next(line for line in painted(app).splitlines() if "own " in line)
        assert row.rstrip().endswith("%")
