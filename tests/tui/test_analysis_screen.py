"""The analysis screen, driven by keys."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

import numpy as np
import pytest
from textual.pilot import Pilot

from sessions.analysis import Analysis, analyse
from sessions.budget import Budget
from sessions.design import Design
from sessions.equipment import Circle
from solver.budget import Line
from solver.effects import Effect
from tests.sessions.simulated import errors, header, snapshot
from tests.tui.front import painted
from tui.app import FullturnApp
from tui.screens.analysis import AnalysisScreen
from tui.widgets.row_list import RowList

PLAN = Design(12, (0, 1, 4))


def analysed(design: Design = PLAN, upper: str = "index table") -> Analysis:
    at = 2 * np.pi * np.arange(design.positions) / design.positions
    lower = errors(design.positions, 1, 0.1) + 2.0 * np.cos(at - np.radians(60))
    head = header(design, upper=Circle(kind=upper))  # type: ignore[arg-type]
    made = snapshot(head, lower, errors(design.positions, 2), 0.05, np.random.default_rng(3))
    return analyse(made, screened=False)


@asynccontextmanager
async def analysing(
    folder: Path, analysis: Analysis, size: tuple[int, int] = (160, 45), *, ascii_only: bool = False
) -> AsyncIterator[tuple[Pilot[None], AnalysisScreen]]:
    app = FullturnApp(folder, ascii_only=ascii_only)
    async with app.run_test(size=size) as pilot:
        screen = AnalysisScreen(analysis)
        await app.push_screen(screen)
        await pilot.pause()
        await app.workers.wait_for_complete()
        await pilot.pause()
        yield pilot, screen


async def test_orders_are_taken_off_and_put_back(tmp_path: Path) -> None:
    async with analysing(tmp_path, analysed()) as (pilot, screen):
        assert "eccentricity" in painted(pilot.app)
        assert screen.circle is not None
        before = screen.circle.root_mean_square
        await pilot.press("space", "down", "down", "space")
        assert screen.circle.removed == (1, 3)
        assert screen.circle.root_mean_square[1] < before[1] / 3
        await pilot.pause()
        seen = painted(pilot.app)
        assert "Without orders 1, 3" in seen
        assert "error without order 1, 3" in seen
        assert pilot.app.screen.query_one(RowList).highlighted == 2
        await pilot.press("space")
        assert screen.circle.removed == (1,)
        await pilot.press("0")
        assert screen.circle.removed == ()


async def test_each_circle_keeps_what_was_taken_off(tmp_path: Path) -> None:
    async with analysing(tmp_path, analysed()) as (pilot, screen):
        await pilot.press("space", "o")
        assert screen.circle is not None
        assert (screen.circle.which, screen.circle.removed) == ("upper", ())
        await pilot.press("o")
        assert (screen.circle.which, screen.circle.removed) == ("lower", (1,))


async def test_the_plot_goes_round_what_it_shows(tmp_path: Path) -> None:
    async with analysing(tmp_path, analysed()) as (pilot, _):
        for words in ("position error, ″", "error from the start, ″", "position error, ″"):
            await pilot.press("p")
            await pilot.pause()
            assert words in painted(pilot.app)


@pytest.mark.parametrize("ascii_only", [False, True])
async def test_a_narrow_screen_shows_one_pane_at_a_time(tmp_path: Path, ascii_only: bool) -> None:
    async with analysing(tmp_path, analysed(), (80, 24), ascii_only=ascii_only) as (pilot, _):
        seen = painted(pilot.app)
        assert "likely cause" in seen
        assert "Largest" not in seen
        await pilot.press("tab")
        await pilot.pause()
        both = painted(pilot.app)
        assert "likely cause" not in both
        assert "Largest interval error" in both
        if ascii_only:
            assert (seen + both).isascii()


async def test_many_orders_scroll_with_the_cursor(tmp_path: Path) -> None:
    async with analysing(tmp_path, analysed(Design(72, (0, 1, 9))), (80, 24)) as (pilot, screen):
        await pilot.press("end")
        await pilot.pause()
        assert "even against odd" in painted(pilot.app)
        await pilot.press("space")
        assert screen.circle is not None
        assert screen.circle.removed == (36,)


async def test_what_is_not_determined_is_said_instead(tmp_path: Path) -> None:
    async with analysing(tmp_path, analysed(Design(12, (0, 6)))) as (pilot, screen):
        seen = painted(pilot.app)
        assert "the lower errors are not all determined" in seen
        assert ".." not in seen
        await pilot.press("space", "p", "0", "tab")
        assert screen.circle is None
        await pilot.press("escape")
        assert pilot.app.screen is not screen


async def test_a_polygon_is_called_by_its_name(tmp_path: Path) -> None:
    async with analysing(tmp_path, analysed(upper="polygon")) as (pilot, _):
        assert "harmonics of the table errors" in painted(pilot.app)
        await pilot.press("o")
        await pilot.pause()
        assert "harmonics of the face errors" in painted(pilot.app)


async def test_the_budget_stands_behind_the_uncertainties(tmp_path: Path) -> None:
    async with analysing(tmp_path, analysed(), (80, 24)) as (pilot, screen):
        assert "type A only: no budget is recorded" in painted(pilot.app)
        screen.budget = Budget(lines=(Line("axes", half_width=0.1, effect=Effect("harmonic", order=1)),))
        await pilot.press("space")
        await pilot.pause()
        assert "with 1 line of the budget" in painted(pilot.app)
        await pilot.press("tab")
        await pilot.pause()
        assert "bars ± U" in painted(pilot.app)


@pytest.mark.parametrize("size", [(80, 24), (120, 36), (160, 45)])
async def test_every_column_has_its_name(tmp_path: Path, size: tuple[int, int]) -> None:
    async with analysing(tmp_path, analysed(), size) as (pilot, _):
        lines = painted(pilot.app).splitlines()
        first = next(index for index, line in enumerate(lines) if "▸" in line)
        assert "order" in lines[first - 1]
        assert "amplitude ± U" in lines[first - 1]
        assert "scatter╎" in lines[first - 1] or "scatter up to" in lines[first - 1]
        assert "among all orders" in lines[first - 2]
