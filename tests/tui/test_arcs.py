"""Arcs in fine steps on the reading screen: an arc typed whole, key by key."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from textual import events

from sessions.header import Arc, Design, Header, Instrument
from sessions.session import Session
from tests.sessions.kit import Clock, QuickDisk
from tui.app import FullturnApp
from tui.screens.reading import ReadingScreen
from tui.widgets.bench import Prompt
from tui.widgets.matrix import Matrix
from tui.widgets.results import Results

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


def lines(widget: Matrix | Results) -> list[str]:
    return [widget.render_line(y).text.rstrip() for y in range(widget.size.height)]


async def test_an_arc_is_typed_whole(tmp_path: Path) -> None:
    path = begun(tmp_path, 3)
    app = FullturnApp(tmp_path, path)
    async with app.run_test(size=(160, 45)) as pilot:
        await pilot.pause()
        screen = app.screen
        assert isinstance(screen, ReadingScreen)
        matrix = screen.query_one(Matrix)
        head = "\n".join(lines(matrix)[:3])
        assert "run 3" in head
        assert "at 10°" in head
        assert "run 2" not in head
        assert "run 7" not in head
        assert "Lower to 30°, upper to 330°" in str(screen.query_one(Prompt).render())
        for step in DESIGN.steps_of(3):
            for character in f"{reads(3, step):.2f}":
                name = {".": "full_stop", "-": "minus"}.get(character, character)
                app.post_message(events.Key(name, character))
            app.post_message(events.Key("enter", None))
        await pilot.pause()
        assert screen.session.matrix.filled == 39 + 32
        assert (screen.flow.place.run, screen.flow.place.step) == (4, 0)
        shown = "\n".join(lines(matrix))
        assert " 0  30°" in shown
        assert "26  56°" in shown
        # Left of the arc stands the circle, right of it the next arc.
        await pilot.press("left", "left")
        assert (screen.flow.place.run, screen.flow.place.step) == (2, 0)
        await pilot.press("end", "right", "end", "left")
        assert (screen.flow.place.run, screen.flow.place.step) == (2, 12)
        assert "offset 4" in "\n".join(lines(matrix)[:2])
        await pilot.press("ctrl+end")
        assert screen.flow.place.run == 8
        assert matrix.cursor[0] == 8
        assert "60°" in "\n".join(lines(matrix))
    assert Session.read(path).matrix.filled == 39 + 32


async def test_results_of_an_arc(tmp_path: Path) -> None:
    app = FullturnApp(tmp_path, begun(tmp_path, 7))
    async with app.run_test(size=(160, 45)) as pilot:
        await pilot.pause(0.3)
        screen = app.screen
        assert isinstance(screen, ReadingScreen)
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
        await pilot.press("v")
        assert "residuals" in "\n".join(str(widget.render()) for widget in screen.query("#title"))
        await pilot.press("v", "v")
        view = screen.source
        assert view is not None
        predicted = view.cell(5, 7).text
        assert predicted
        assert abs(float(predicted.replace("−", "-")) - reads(5, 7)) < 0.3
