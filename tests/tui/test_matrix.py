"""The matrix widget: what it draws, where the cursor goes, and readings that come faster than the screen."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from rich.style import Style
from textual import events
from textual.app import App
from textual.geometry import Region

from sessions.certificate.annex import annex
from sessions.design import Design
from sessions.flow import Flow
from sessions.header import Header
from sessions.session import Session
from tests.sessions.kit import QuickDisk
from tests.tui.widget_demo import Bench, Numbers, Stage, Tones, screen_text
from tui.views import MatrixView, Sight, View
from tui.widgets.cells import draw_cell
from tui.widgets.grid import HEADINGS, Grid
from tui.widgets.marks import ASCII, UNICODE, Characters, Tone
from tui.widgets.matrix import CellView, Matrix


def drawn(
    view: CellView, signs: Characters, *, width: int = 9, decimals: int = 2, cursor: bool = False
) -> str:
    pieces = draw_cell(view, width, decimals, signs, lambda _: Style(), cursor=cursor)
    return "".join(piece.text for piece in pieces)


@pytest.mark.parametrize("signs", [UNICODE, ASCII])
def test_tones_differ_without_any_style(signs: Characters) -> None:
    texts = {tone: drawn(CellView("+1.25", tone), signs) for tone in Tone if tone is not Tone.PLAIN}
    texts[Tone.PLAIN] = drawn(CellView("+1.25", Tone.PLAIN), signs)
    texts |= {
        tone: drawn(CellView("", tone), signs) for tone in (Tone.EMPTY, Tone.PLANNED_NEXT, Tone.UNDETERMINED)
    }
    assert len(set(texts.values())) == len(Tone)


@pytest.mark.parametrize("signs", [UNICODE, ASCII])
@pytest.mark.parametrize("tone", list(Tone))
def test_cursor_shows_without_any_style(signs: Characters, tone: Tone) -> None:
    for text in ("", "-12.30"):
        assert drawn(CellView(text, tone), signs, cursor=True) != drawn(CellView(text, tone), signs)


def test_ascii_signs_are_ascii() -> None:
    texts = [drawn(CellView(text, tone), ASCII, cursor=True) for text in ("", "-1.20") for tone in Tone]
    texts += [ASCII.repeats(count) for count in range(12)]
    assert all(text.isascii() for text in texts)


@pytest.mark.parametrize("text", ["1", "-1.2", "+12.34", "150.00", "-0.5"])
def test_numbers_stand_on_their_point(text: str) -> None:
    line = drawn(CellView(text, Tone.PLAIN), UNICODE)
    point = line.index(".") if "." in text else line.index("1") + 1
    assert (len(line), point) == (9, 5)


def test_a_number_without_room_is_not_cut() -> None:
    assert drawn(CellView("-12345.67", Tone.PLAIN), UNICODE).split() == ["…"]


def test_repeats_have_one_sign_each() -> None:
    assert [UNICODE.repeats(count) for count in (0, 1, 2, 3, 10, 11, 500)] == [
        " ",
        " ",
        "²",
        "³",
        "⁺",
        "⁺",
        "⁺",
    ]


GRID = Grid(runs=20, first_step=1, last_step=40, cell_width=9, side=6, width=40, height=12, column=2, row=5)


def test_grid_finds_back_what_it_places() -> None:
    for run in range(GRID.runs):
        for step in range(GRID.first_step, GRID.last_step + 1):
            place = GRID.places(run, step).get("cell")
            if place is None:
                assert run not in GRID.columns or not HEADINGS <= HEADINGS + step - 1 - GRID.row < GRID.height
            else:
                assert (GRID.run_at(place.x), GRID.run_at(place.right - 1)) == (run, run)
                assert GRID.step_at(place.y) == step
                assert Region(GRID.side, HEADINGS, GRID.width, GRID.height).contains_region(place)


def test_grid_draws_whole_columns_only() -> None:
    assert list(GRID.columns) == [2, 3, 4]
    assert GRID.run_at(6 + 3 * 9) is None
    assert list(Grid(3, 0, 5, 9, 6, width=8, height=5).columns) == [0]


@pytest.mark.parametrize(("run", "step"), [(0, 1), (19, 40), (7, 20), (2, 6), (4, 9)])
def test_grid_scrolls_a_cell_into_sight(run: int, step: int) -> None:
    column, row = GRID.sight(run, step)
    moved = Grid(20, 1, 40, 9, 6, 40, 12, column, row)
    assert "cell" in moved.places(run, step)
    assert moved.sight(run, step) == (column, row)


@pytest.mark.parametrize("size", [(2, 2), (12, 13), (72, 73), (360, 361)])
@pytest.mark.parametrize("terminal", [(80, 24), (20, 5)])
async def test_every_corner_can_be_reached(size: tuple[int, int], terminal: tuple[int, int]) -> None:
    source = Numbers(*size, fill=0.5)
    app = Bench(source)
    async with app.run_test(size=terminal) as pilot:
        corners = [(0, size[1] - 1), (size[0] - 1, size[1] - 1), (size[0] - 1, 0), (0, 0)]
        for number, (run, step) in enumerate(corners):
            source.values[run, step] = 10 + number
            app.matrix.move_to(run, step)
            await pilot.pause()
            assert f"▐ +{10 + number}.00 " in "\n".join(screen_text(app.matrix))
            assert app.matrix.cursor == (run, step)


async def test_headings_stay_and_columns_are_whole() -> None:
    app = Bench(Numbers(40, 41, fill=-12.34))
    async with app.run_test(size=(80, 24)) as pilot:
        app.matrix.move_to(25, 30)
        await pilot.pause()
        lines = screen_text(app.matrix)
        assert "run 25" in lines[0]
        assert any(line.startswith("▸ 30") for line in lines[HEADINGS:])
        assert "run 0 " not in lines[0]
        for offset in range(40):
            app.matrix.scroll_to(x=offset, animate=False)
            numbers = [line[5:].replace("▐", " ").split() for line in screen_text(app.matrix)[HEADINGS:-1]]
            assert {number for line in numbers for number in line} == {"-12.34"}
            assert {len(line) for line in numbers} == {8}


async def test_cursor_keys_move_and_say_so() -> None:
    app = Bench(Numbers(3, 40))
    async with app.run_test(size=(60, 12)) as pilot:
        expected = [
            ("down", (0, 1)),
            ("right", (1, 1)),
            ("end", (1, 39)),
            ("up", (1, 38)),
            ("home", (1, 0)),
            ("pagedown", (1, 9)),
            ("pageup", (1, 0)),
            ("ctrl+end", (2, 39)),
            ("ctrl+home", (0, 0)),
        ]
        for key, _ in expected:
            app.post_message(events.Key(key, None))
        app.post_message(events.Key("left", None))
        await pilot.pause()
        assert app.moves == [cell for _, cell in expected]


async def test_move_to_is_silent_and_stays_inside() -> None:
    app = Bench(Numbers(3, 4))
    async with app.run_test(size=(60, 12)) as pilot:
        app.matrix.move_to(99, -5)
        await pilot.pause()
        assert app.matrix.cursor == (2, 0)
        assert app.moves == []


async def test_mouse_moves_the_cursor() -> None:
    app = Bench(Numbers(12, 30))
    async with app.run_test(size=(80, 24)) as pilot:
        app.matrix.move_to(9, 25)
        await pilot.pause()
        grid = app.matrix._grid()
        place = grid.places(grid.column + 1, grid.row + 2)["cell"]
        await pilot.click(Matrix, offset=(place.x + 4, place.y))
        assert app.matrix.cursor == (grid.column + 1, grid.row + 2)
        await pilot.click(Matrix, offset=(place.x - 5, 0))
        assert app.matrix.cursor == (grid.column, grid.row + 2)
        assert len(app.moves) == 2


async def test_a_burst_of_readings_lands_right() -> None:
    source = Numbers(8, 13)
    values = np.round(np.random.default_rng(2).normal(0, 5, 100), 2)
    app = Bench(source)
    async with app.run_test(size=(80, 24)) as pilot:
        app.press_at_once("".join(f"{value}\n" for value in values))
        await pilot.pause()
        np.testing.assert_array_equal(source.values.ravel()[:100], values)
        assert np.isnan(source.values.ravel()[100:]).all()
        assert f"{values[-1]:+.2f}" in "\n".join(screen_text(app.matrix))


async def test_keys_and_pastes_keep_their_order() -> None:
    source = Numbers(2, 8)
    app = Bench(source)
    async with app.run_test(size=(80, 24)) as pilot:
        app.press_at_once("1\n")
        app.post_message(events.Paste("2\n3\n"))
        app.press_at_once("4\n")
        app.post_message(events.Paste("5"))
        await pilot.pause()
        np.testing.assert_array_equal(source.values[0, :5], [1, 2, 3, 4, 5])


async def test_one_changed_cell_asks_for_one_line() -> None:
    source = Numbers(72, 73, fill=0.0)
    app = Bench(source)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        source.asked = 0
        source.values[2, 4] = 7.77
        app.matrix.refresh_cell(2, 4)
        await pilot.pause()
        assert 0 < source.asked <= len(app.matrix._grid().columns)
        source.asked = 0
        app.matrix.refresh_cell(60, 70)
        await pilot.pause()
        assert source.asked == 0


async def test_new_source_of_another_size() -> None:
    app = Bench(Numbers(12, 30, fill=1.0))
    async with app.run_test(size=(80, 24)) as pilot:
        app.matrix.move_to(11, 29)
        app.matrix.show(Numbers(2, 3, fill=2.0))
        await pilot.pause()
        assert app.matrix.cursor == (1, 2)
        assert "\n".join(screen_text(app.matrix)).count("+2.00") == 6


async def test_no_runs_and_no_source() -> None:
    app = Stage(Matrix())
    async with app.run_test(size=(30, 8)) as pilot:
        matrix = app.widget
        assert isinstance(matrix, Matrix)
        assert set("".join(screen_text(matrix))) == {" "}
        matrix.show(Numbers(0, 5))
        matrix.focus()
        app.post_message(events.Key("down", None))
        await pilot.pause()
        assert set("".join(screen_text(matrix))) == {" "}


async def test_signs_of_the_other_set() -> None:
    app = Stage(Matrix())
    async with app.run_test(size=(60, 20)) as pilot:
        matrix = app.widget
        assert isinstance(matrix, Matrix)
        matrix.show(Tones(ascii_only=True))
        await pilot.pause()
        assert not "".join(screen_text(matrix)).isascii()
        matrix.ascii_only = True
        await pilot.pause()
        assert "".join(screen_text(matrix)).isascii()


async def test_no_color_leaves_every_segment_a_style(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    app: App[None] = Stage(Matrix())
    async with app.run_test(size=(60, 20)) as pilot:
        matrix = app.query_one(Matrix)
        matrix.show(Tones())
        await pilot.pause()
        assert app.no_color
        strips = [matrix.render_line(y) for y in range(matrix.size.height)]
        assert all(segment.style is not None for strip in strips for segment in strip)
        assert "run 2" in app.export_screenshot().replace("&#160;", " ")


def test_the_digits_typed_are_shown_on_the_screen_as_in_the_certificate(tmp_path: Path) -> None:
    """What was typed, to its last digit, and nothing rounded away by a shorter reading after it."""
    with Session.create(tmp_path / "s.toml", Header(Design(4, (0, 1))), disk=QuickDisk()) as session:
        session.take(0, 0, 1.2345)
        session.take(0, 1, 2.5)
        view = MatrixView(View.READINGS, Sight(Flow(session), None, UNICODE, {}))
        assert [view.cell(0, step).text for step in (0, 1)] == ["+1.2345", "+2.5000"]
        grid = annex(session.header, session.entries, session.matrix.snapshot()).grids[0]
        assert [grid.cells[step][0] for step in (0, 1)] == ["1.2345", "2.5000"]
