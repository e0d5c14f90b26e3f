"""A polygon on a table and one circle alone: planned on the form, a whole series typed at the bench, by keys."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from textual.pilot import Pilot
from textual.widgets import Static

from sessions.entries import Note
from tests.tui.front import front, painted, put
from tests.tui.front import settled as listed
from tests.tui.test_reading import reading_screen, send, settled
from tui.screens.new_session import NewSessionScreen
from tui.screens.reading import ReadingScreen
from tui.widgets.bench import Prompt
from tui.widgets.choice import Choice
from tui.widgets.field import Field


async def form(pilot: Pilot[None]) -> NewSessionScreen:
    await listed(pilot)
    await pilot.press("n")
    await pilot.pause()
    assert isinstance(pilot.app.screen, NewSessionScreen)
    return pilot.app.screen


def control(screen: NewSessionScreen, name: str) -> Choice:
    return next(each for each in screen.query(Field) if each.field == name).query_one(Choice)


def label(screen: NewSessionScreen, name: str) -> str:
    field = next(each for each in screen.query(Field) if each.field == name)
    return str(field.query_one(".label", Static).visual)


def prompt(pilot: Pilot[None]) -> list[str]:
    return str(reading_screen(pilot).query_one(Prompt).visual).split("\n")


@pytest.mark.parametrize("size", [(80, 24), (160, 45)])
async def test_a_whole_polygon_series(tmp_path: Path, size: tuple[int, int]) -> None:
    """Eight faces on a rotary table of 1440 divisions; the readings are those of section 2 of the design, exact."""
    n, offsets = 8, (0, 1, 3)
    table, face = (np.round(np.random.default_rng(seed).normal(0, 0.5, n), 2) for seed in (1, 2))
    app = front(tmp_path / "sessions")
    async with app.run_test(size=size) as pilot:
        screen = await form(pilot)
        control(screen, "upper_kind").focus()
        await pilot.press("right")
        control(screen, "lower_kind").focus()
        await pilot.press("left", "left")
        await put(pilot, "positions", "8")
        await put(pilot, "lower-divisions", "1440")
        assert screen.form.arrangement == "face by face"
        assert screen.form.lower_kind == "rotary table"
        assert screen.form.offsets == "0, 1, 3"
        assert (label(screen, "positions"), label(screen, "upper_divisions")) == ("Faces measured", "Faces")
        assert "8 faces 45° apart, 3 runs, 27 cells" in painted(app)
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert isinstance(app.screen, ReadingScreen)
        for run, offset in enumerate(offsets):
            for step in range(n + 1):
                said = prompt(pilot)
                assert said[0] == f"Table to {45 * (step % n)}°, face {(offset + step) % n}"
                if step == 0:
                    assert f"face {offset}" in " ".join(said[2:])
                send(pilot, f"{table[step % n] - face[(offset + step) % n] + 1.5 * run:.2f}\n")
                await pilot.pause()
        bench = await settled(pilot)
        analysis = bench.analysis
        assert analysis is not None
        np.testing.assert_allclose(analysis.lower.position.value, table - table.mean(), atol=1e-9)
        assert analysis.upper is not None
        np.testing.assert_allclose(analysis.upper.position.value, face - face.mean(), atol=1e-9)
        (note,) = (entry for entry in bench.session.entries if isinstance(entry, Note))
        assert "Of the 1440 divisions of the table every 180th is used" in note.text
        if size == (80, 24):
            await pilot.press("tab")
        await pilot.pause()
        seen = painted(app)
        assert "● table" in seen
        assert "○ face" in seen
        assert "lower" not in seen
        assert "upper" not in seen


async def test_a_polygon_that_does_not_fit_the_table_is_not_begun(tmp_path: Path) -> None:
    app = front(tmp_path / "sessions")
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await form(pilot)
        control(screen, "upper_kind").value = "polygon"
        await pilot.pause()
        await put(pilot, "positions", "7")
        await put(pilot, "lower-divisions", "1440")
        assert "7 faces do not divide the 1440 divisions of the table" in painted(app)
        assert "closure single" in painted(app)
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert app.screen is screen
        assert not (tmp_path / "sessions").exists()
        await put(pilot, "lower-divisions", "2520")
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert isinstance(app.screen, ReadingScreen)


async def test_what_was_chosen_by_hand_is_not_brought_along(tmp_path: Path) -> None:
    app = front(tmp_path / "sessions")
    async with app.run_test(size=(160, 45)) as pilot:
        screen = await form(pilot)
        control(screen, "arrangement").value = "face by face"
        await pilot.pause()
        assert screen.form.upper_kind == "polygon"
        control(screen, "upper_kind").value = "index table"
        await pilot.pause()
        assert screen.form.arrangement == "face by face"
        assert "Two indexes are usually counter-rotating" in painted(app)
        await put(pilot, "offsets", "all")
        await put(pilot, "positions", "36")
        assert screen.form.offsets == "all"


@pytest.mark.parametrize("size", [(80, 24), (160, 45)])
async def test_a_whole_single_series(tmp_path: Path, size: tuple[int, int]) -> None:
    """Six intervals against a fixed angle, twice round; the readings are those of section 2 of the design."""
    n, fixed = 6, 1.25
    beta = np.round(np.random.default_rng(3).normal(0, 0.5, n), 2)
    slips = np.array([[0.02, -0.01, 0.0, 0.01, -0.02, 0.0], [-0.02, 0.01, 0.0, -0.01, 0.02, 0.0]])
    app = front(tmp_path / "sessions")
    async with app.run_test(size=size) as pilot:
        screen = await form(pilot)
        control(screen, "closure").focus()
        await pilot.press("right")
        await put(pilot, "positions", "6")
        await put(pilot, "runs", "2")
        assert label(screen, "positions") == "Intervals"
        assert "6 intervals of 60°, 2 runs, 12 cells" in painted(app)
        await pilot.press("ctrl+s")
        await pilot.pause()
        for run in range(2):
            for step in range(1, n + 1):
                said = prompt(pilot)
                assert said[0] == f"Interval {step}: from {60 * (step - 1)}° to {60 * (step % n)}°"
                assert ("Set the fixed angle near 60°" in " ".join(said)) == (run == 0 and step == 1)
                reading = beta[step % n] - beta[step - 1] - fixed + slips[run, step - 1]
                send(pilot, f"{reading:.2f}\n")
                await pilot.pause()
        bench = await settled(pilot)
        analysis = bench.analysis
        assert analysis is not None
        np.testing.assert_allclose(analysis.lower.from_first.value, beta - beta[0], atol=1e-9)
        assert analysis.reference.value[0] == pytest.approx(fixed)
        i = np.arange(n)
        root = analysis.deviation * np.sqrt(i * (n - i) / n / 2)
        np.testing.assert_allclose(analysis.lower.from_first.uncertainty, root, atol=1e-12)
        if size == (80, 24):
            await pilot.press("tab")
        await pilot.pause()
        seen = painted(app)
        assert "from 0" in seen
        assert "interval" in seen
        assert "the standard uncertainty grows" in seen
        assert "Error of the fixed angle: +1.25" in seen
        assert "upper" not in seen
