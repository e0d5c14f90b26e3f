"""Arcs in fine steps on the reading screen: an arc typed whole, key by key."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from textual import events
from textual.pilot import Pilot
from textual.widgets import Static

from sessions.analysis import analyse
from sessions.design import Arc, Design
from sessions.equipment import Instrument
from sessions.flow import Flow
from sessions.header import Header
from sessions.session import Session
from tests.sessions.kit import Clock, QuickDisk
from tests.tui.test_reading import reading_screen, settled
from tui.app import FullturnApp
from tui.panes import plot_view, results_view
from tui.screens.reading import ReadingScreen
from tui.views import MatrixView, Sight, View
from tui.widgets.bench import Prompt
from tui.widgets.marks import UNICODE
from tui.widgets.matrix import Matrix
from tui.widgets.results import Results
from tui.widgets.table import Table

ARCS = (*(Arc(30, offset) for offset in (0, 1, 4, 10)), Arc(60, 0), Arc(60, 1))
DESIGN = Design(12, (0, 1, 4), subdivision=30, arcs=ARCS)


def reads(run: int, step: int) -> float:
    """Return what an invented stack reads, two decimals."""
    chance = np.random.default_rng(20260302)
    lower, upper = chance.normal(0, 0.2, (2, 360))
    course = DESIGN.courses(DESIGN.model())
    offset, at = (int(each[0]) for each in course.setting(np.array([run]), np.array([step])))
    noise = np.random.default_rng([run, step]).normal(0, 0.02)
    return round(float(lower[at % 360] + upper[(offset - at) % 360] + 3 + noise), 2)


def begun(folder: Path, runs: int) -> Path:
    """Make a session in which the first runs are read."""
    path = folder / "arcs.toml"
    header = Header(
        DESIGN, instrument=Instrument(resolution=0.01), title="Invented tables, one arc in steps of 1°"
    )
    with Session.create(path, header, clock=Clock(), disk=QuickDisk()) as session:
        for run in range(runs):
            for step in DESIGN.steps_of(run):
                session.take(run, step, reads(run, step))
    return path


def title(screen: ReadingScreen) -> str:
    return str(screen.query_one("#title", Static).render())


def lines(widget: Matrix | Results) -> list[str]:
    return [widget.render_line(y).text.rstrip() for y in range(widget.size.height)]


async def test_an_arc_is_typed_whole(tmp_path: Path) -> None:
    path = begun(tmp_path, 3)
    app = FullturnApp(tmp_path, path)
    async with app.run_test(size=(160, 45)) as pilot:
        await pilot.pause()
        screen = await settled(pilot)
        matrix = screen.query_one(Matrix)
        head = "\n".join(lines(matrix)[:3])
        assert "run 3" in head
        assert "at 10°" in head
        assert "run 2" not in head
        assert "run 7" not in head
        assert "Lower to 30°, upper to 330°" in str(screen.query_one(Prompt).render())
        for run in (3, 4):
            for step in DESIGN.steps_of(run):
                for character in f"{reads(run, step):.2f}":
                    name = {".": "full_stop", "-": "minus"}.get(character, character)
                    app.post_message(events.Key(name, character))
                app.post_message(events.Key("enter", None))
            await settled(pilot)
            assert matrix.cursor == (run + 1, 0)
            assert (screen.flow.place.run, screen.flow.place.step) == (run + 1, 0)
        assert screen.session.matrix.filled == 39 + 64
        assert "Lower to 30°, upper to 334°" in str(screen.query_one(Prompt).render())
        for run in (3, 4):
            for step in DESIGN.steps_of(run):
                taken = [reading.value for reading in screen.session.matrix.readings(run, step)]
                assert taken == [reads(run, step)]
        shown = "\n".join(lines(matrix))
        assert " 0  30°" in shown
        assert "26  56°" in shown
        # Left of the arc stands the circle, right of it the next arc.
        await pilot.press("left", "left", "left")
        assert (screen.flow.place.run, screen.flow.place.step) == (2, 0)
        await pilot.press("end", "right", "end", "left")
        assert (screen.flow.place.run, screen.flow.place.step) == (2, 12)
        assert "offset 4" in "\n".join(lines(matrix)[:2])
        assert "round the circle" in title(screen)
        await pilot.press("ctrl+home")
        assert matrix.cursor == (0, 0)
        await pilot.press("ctrl+end")
        assert screen.flow.place.run == 8
        assert matrix.cursor[0] == 8
        assert "60°" in "\n".join(lines(matrix))
    assert Session.read(path).matrix.filled == 39 + 64


async def test_results_of_an_arc(tmp_path: Path) -> None:
    app = FullturnApp(tmp_path, begun(tmp_path, 7))
    async with app.run_test(size=(160, 45)) as pilot:
        await pilot.pause()
        screen = await settled(pilot)
        screen.flow.move(5, 3)
        screen.show_place()
        await pilot.pause()
        analysis = screen.analysis
        assert analysis is not None
        measured = analysis.adjustment.measured("lower")
        at37 = float(measured.position.value[list(measured.at).index(37)])
        results = screen.query_one(Results)
        row = next(line for line in lines(results) if line.strip().startswith("37"))
        assert f"{abs(at37):.2f}" in row
        # Run 5 has the offset 4°, so that its upper circle stands at 327° with the lower one at 37°.
        upper = analysis.adjustment.measured("upper")
        at327 = float(upper.position.value[list(upper.at).index(327)])
        u327 = float(upper.position.root[list(upper.at).index(327)] * analysis.deviation)
        view = results_view(screen.flow, analysis)
        table = Table(view, 76, UNICODE)
        rows = ["".join(text for _, text in table.row(each)).split() for each in range(len(view.lower))]
        assert rows[0][:2] == ["30", "30°"]
        only_upper = next(row for row in rows if row[0] == "327")
        assert float(only_upper[2].replace("−", "-")) == pytest.approx(at327, abs=0.006)
        assert float(only_upper[4]) == pytest.approx(u327, rel=0.06)
        assert len(only_upper) == 5
        assert view.determined
        assert "4 runs" in title(screen)
        await pilot.press("v")
        assert "residuals" in title(screen)
        await pilot.press("v", "v")
        source = screen.source
        assert source is not None
        predicted = source.cell(5, 7).text
        assert predicted
        assert abs(float(predicted.replace("−", "-")) - reads(5, 7)) < 0.3


async def test_an_arc_across_the_first_position_ends_at_its_angle(tmp_path: Path) -> None:
    design = replace(DESIGN, arcs=tuple(Arc(330, offset) for offset in (0, 1, 4, 10)))
    path = tmp_path / "across.toml"
    with Session.create(path, Header(design), clock=Clock(), disk=QuickDisk()) as session:
        for run in range(design.run_count):
            for step in design.steps_of(run):
                session.take(run, step, reads(run, step))
        flow = Flow(session)
        flow.move(3, 0)
        view = results_view(flow, analyse(session.matrix.snapshot()))
        assert view.at is not None
        assert view.at[:31].tolist() == [*range(330, 360), 0]
        assert view.at.max() == 359
        part = MatrixView(View.READINGS, Sight(flow, None, UNICODE, {}))
        assert part.row_heading(30).split() == ["30", "0°"]
        assert part.row_heading(31).split() == ["31", "330°"]


def test_the_plot_holds_what_each_circle_is_read_at(tmp_path: Path) -> None:
    with Session.open(begun(tmp_path, 7), clock=Clock(), disk=QuickDisk()) as session:
        analysis = analyse(session.matrix.snapshot())
    plot = plot_view(session.header, analysis)
    for name, errors, _ in plot.circles:
        measured = analysis.adjustment.measured(name)
        assert plot.angle[plot.reads(name)].tolist() == measured.at.tolist()
        np.testing.assert_array_equal(errors[plot.reads(name)], measured.position.value)
        assert np.isnan(errors[~plot.reads(name)]).all()


async def test_a_click_lands_in_the_part_that_is_shown(tmp_path: Path) -> None:
    app = FullturnApp(tmp_path, begun(tmp_path, 4))
    async with app.run_test(size=(160, 45)) as pilot:
        await pilot.pause()
        await settled(pilot)
        matrix = reading_screen(pilot).query_one(Matrix)
        heading = lines(matrix)[0]
        top = next(y for y, line in enumerate(lines(matrix)) if line.lstrip(" ▸").startswith("6 "))
        await pilot.click(Matrix, offset=(heading.index("run 5") + 2, top))
        assert matrix.cursor == (5, 6)
        assert reading_screen(pilot).flow.instruction().where == "run 5, arc 30° to 60°, offset 4°, step 6"
        # To the right of the last run there is no cell.
        await pilot.click(Matrix, offset=(heading.index("run 6") + 12, top + 2))
        assert matrix.cursor == (5, 6)


@asynccontextmanager
async def read_whole(folder: Path, view: View) -> AsyncIterator[Pilot[None]]:
    """Open a session of which every planned cell is read, in one view, on the screen of further offsets."""
    path = folder / "whole.toml"
    header = Header(replace(DESIGN, subdivision=1, arcs=()), instrument=Instrument(resolution=0.01))
    with Session.create(path, header, clock=Clock(), disk=QuickDisk()) as session:
        for run in range(3):
            for step in session.header.design.steps:
                session.take(run, step, reads(run, step))
    app = FullturnApp(folder, path)
    async with app.run_test(size=(160, 45)) as pilot:
        await pilot.pause()
        screen = await settled(pilot)
        while screen.view is not view:
            await pilot.press("v")
            await settled(pilot)
        await pilot.press("e")
        await settled(pilot)
        yield pilot


@pytest.mark.parametrize("view", list(View))
async def test_arcs_are_added_when_every_planned_cell_is_read(tmp_path: Path, view: View) -> None:
    """The results on the screen are then still those of the plan before."""
    async with read_whole(tmp_path, view) as pilot:
        await pilot.press("s")
        await pilot.pause()
        await pilot.press("6", "down", "backspace", "backspace", "backspace", "3")
        await settled(pilot)
        await pilot.press("enter")
        await settled(pilot)
        await pilot.press("enter")
        screen = await settled(pilot)
        assert pilot.app.screen is screen
        assert screen.session.header.design.arcs
        assert screen.flow.place.run == 3
        assert "arc 90°" in title(screen)
        assert len(lines(screen.query_one(Results))) > 3


@pytest.mark.parametrize("view", list(View))
async def test_an_offset_is_added_when_every_planned_cell_is_read(tmp_path: Path, view: View) -> None:
    async with read_whole(tmp_path, view) as pilot:
        await pilot.press("enter")
        await pilot.pause()
        await pilot.press("enter")
        screen = await settled(pilot)
        assert pilot.app.screen is screen
        assert screen.flow.place.run == 3
