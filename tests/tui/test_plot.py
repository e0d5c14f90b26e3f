"""The plot of the errors: scales, places, bars of full length, and words where there is nothing to plot."""

from __future__ import annotations

import math
import subprocess
import sys
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from tests.tui.widget_demo import Stage, errors, screen_text
from tui.widgets import canvas
from tui.widgets.canvas import DOTS, Frame, draw
from tui.widgets.chart import PlotView, panels
from tui.widgets.marks import ASCII, UNICODE
from tui.widgets.plot import ErrorPlot
from tui.widgets.scale import Scale, angle_marks


@pytest.mark.parametrize("rows", [2, 3, 5, 8, 13, 40])
def test_scale_holds_everything_on_round_marks(rows: int) -> None:
    rng = np.random.default_rng(rows)
    for _ in range(300):
        low, high = sorted(rng.normal(0, 10 ** rng.uniform(-5, 4), 2))
        scale = Scale.of(float(low), float(high), rows)
        assert 0 <= scale.row(min(low, 0.0)) <= scale.zero <= scale.row(max(high, 0.0)) < rows
        for row, label in scale.marks(UNICODE):
            shown = float(label.replace("−", "-"))
            assert shown == pytest.approx((row - scale.zero) * scale.unit, abs=1e-9 * scale.unit)
            assert scale.row(shown) == row
        assert len({len(label) for _, label in scale.marks(UNICODE)}) == 1


def test_scale_uses_the_room() -> None:
    rng = np.random.default_rng(1)
    used = [
        Scale.of(-high, high, 15).row(high) - Scale.of(-high, high, 15).row(-high) + 1
        for high in 10 ** rng.uniform(-2, 2, 100)
    ]
    assert np.mean(used) > 10


def test_scale_without_any_spread() -> None:
    assert Scale.of(0.0, 0.0, 5).row(0.0) in range(5)


@pytest.mark.parametrize("columns", [12, 30, 60, 150])
def test_angle_marks_have_room(columns: int) -> None:
    marks = angle_marks(columns, UNICODE)
    assert marks[0] == (0, "0°")
    assert marks[-1] == (columns - 1, "360°")
    assert min(b - a for (a, _), (b, _) in pairwise(marks)) >= 5


FRAME = Frame(30, 7, ((0, "-3 "), (3, " 0 "), (6, "+3 ")), ((0, "0°"), (29, "360°")))


def test_characters_go_where_they_are_put() -> None:
    rng = np.random.default_rng(3)
    places = {(int(x), int(y)) for x, y in zip(rng.integers(0, 30, 60), rng.integers(0, 7, 60), strict=True)}
    columns, rows = zip(*places, strict=True)
    lines = draw(FRAME, {"●": (columns, rows)})
    assert (len(lines), {len(line) for line in lines}) == (9, {34})
    found = {(x - 4, 6 - y) for y, line in enumerate(lines[:7]) for x, c in enumerate(line) if c == "●"}
    assert found == places
    assert [line[:3] for line in lines[:7]] == ["+3 ", "   ", "   ", " 0 ", "   ", "   ", "-3 "]
    assert lines[-1] == "    0°                        360°"
    assert [x for x, c in enumerate(lines[-2]) if c == "┬"] == [4, 33]


def dots(lines: list[str], side: int, rows: int) -> set[tuple[int, int]]:
    """Decode the dots of Braille characters (Unicode block 2800, order of the dots from its chart, from memory)."""
    order = [(0, 3), (0, 2), (0, 1), (1, 3), (1, 2), (1, 1), (0, 0), (1, 0)]
    found = set()
    for y, line in enumerate(lines[:rows]):
        for x, character in enumerate(line[side:]):
            code = ord(character) - 0x2800
            if 0 <= code < 256:
                found |= {
                    (2 * x + across, 4 * (rows - 1 - y) + down)
                    for bit, (across, down) in enumerate(order)
                    if code >> bit & 1
                }
    return found


def test_dots_go_where_they_are_put() -> None:
    rng = np.random.default_rng(4)
    places = {(int(x), int(y)) for x, y in zip(rng.integers(0, 60, 99), rng.integers(0, 28, 99), strict=True)}
    columns, rows = zip(*places, strict=True)
    lines = draw(replace(FRAME, rule=(3, "-")), {DOTS: (columns, rows)})
    assert dots(lines, 4, 7) == places
    assert [set(line) & {"-"} for line in lines[:7]].index({"-"}) == 3
    assert " " not in lines[3][4:]


def test_ascii_axes() -> None:
    frame = replace(FRAME, across=((0, "0"), (29, "360")))
    assert "".join(draw(frame, {"o": ([1], [1])}, ascii_only=True)).isascii()


def test_drawing_leaves_no_state_in_the_module() -> None:
    import plotext

    def module_figure() -> str:
        return str(plotext.figure.build()) if hasattr(plotext, "terminal") else str(plotext.build())

    before = module_figure()
    first = draw(FRAME, {"●": ([1, 2], [3, 4])})
    draw(replace(FRAME, columns=40), {"○": ([5], [6])})
    assert draw(FRAME, {"●": ([1, 2], [3, 4])}) == first
    assert module_figure() == before


def test_bars_have_their_full_length() -> None:
    half = 0.1
    view = errors(8, half=half)
    (panel,) = panels(view, 80, 24, UNICODE, fine=True)
    assert panel.barred
    scale = Scale.of(
        min(float(view.lower.min()), float(np.min(view.upper))) - half,
        max(float(view.lower.max()), float(np.max(view.upper))) + half,
        panel.frame.rows,
    )
    lines = draw(panel.frame, panel.points)
    side = panel.frame.side
    for position, error in enumerate(view.lower.tolist()):
        column = round(position * 45 / 360 * (panel.frame.columns - 1))
        drawn = [panel.frame.rows - 1 - y for y in range(panel.frame.rows) if lines[y][side + column] in "│●"]
        assert (min(drawn), max(drawn)) == (scale.row(error - half), scale.row(error + half))
        assert (max(drawn) - min(drawn)) * scale.unit == pytest.approx(2 * half, abs=scale.unit)
        assert lines[panel.frame.rows - 1 - scale.row(error)][side + column] == "●"


@pytest.mark.parametrize(("n", "height"), [(12, 20), (36, 30), (72, 30), (360, 40), (72, 9), (360, 9)])
def test_every_determined_position_is_drawn(n: int, height: int) -> None:
    known = n * 2 // 3
    view = errors(n, known=known)
    for fine, signs in ((True, UNICODE), (False, ASCII)):
        laid = panels(view, 70, height, signs, fine=fine)
        assert 1 <= len(laid) <= 2
        for panel in laid:
            lines = draw(panel.frame, panel.points)
            side, rows, columns = panel.frame.side, panel.frame.rows, panel.frame.columns
            finest = DOTS in panel.points
            found = dots(lines, side, rows) if finest else None
            last = 0.0
            for name, values, _ in view.circles:
                if panel.circle not in (name, "both"):
                    continue
                beside = panel.barred and name == "upper"
                for angle, value in zip(view.angle.tolist(), values.tolist(), strict=True):
                    if math.isnan(value):
                        continue
                    last = max(last, angle)
                    if found is not None:
                        assert any(x == round(angle / 360 * (2 * columns - 1)) for x, _ in found)
                    else:
                        column = side + round(angle / 360 * (columns - 1)) + beside
                        marks = {getattr(signs, name), signs.both}
                        assert marks & {lines[y][column] for y in range(rows)}
            if found is not None:
                assert max(x for x, _ in found) <= last / 360 * (2 * columns - 1) + 1


def test_circles_are_told_apart_without_colour() -> None:
    (sparse,) = panels(errors(12), 80, 20, UNICODE, fine=True)
    assert {UNICODE.lower, UNICODE.upper, UNICODE.lower_bar, UNICODE.upper_bar} <= set(sparse.points)
    dense = panels(errors(72), 60, 24, UNICODE, fine=True)
    assert [panel.circle for panel in dense] == ["lower", "upper"]
    (low,) = panels(errors(72), 60, 9, ASCII, fine=False)
    assert {ASCII.lower, ASCII.upper} <= set(low.points)


def test_markers_that_meet_have_a_sign_of_their_own() -> None:
    view = errors(36)
    assert view.upper is not None
    same = replace(view, upper=view.lower.copy())
    (panel,) = panels(same, 60, 9, UNICODE, fine=True)
    assert panel.shared
    assert UNICODE.both in panel.points
    assert not {UNICODE.lower, UNICODE.upper} & set(panel.points)


async def plotted(widget: ErrorPlot, view: PlotView, size: tuple[int, int]) -> list[str]:
    app = Stage(widget)
    async with app.run_test(size=size) as pilot:
        widget.show(view)
        await app.workers.wait_for_complete()
        await pilot.pause()
        return screen_text(widget)


@pytest.mark.parametrize("reason", ["needs a second offset", ""])
async def test_nothing_determined_is_said_in_words(reason: str) -> None:
    lines = await plotted(ErrorPlot(), errors(12, known=0, reason=reason), (60, 12))
    assert " ".join("".join(lines).split()) == (reason or "Nothing to plot yet.")


@pytest.mark.parametrize(("n", "said"), [(12, "bars ± u"), (72, "u up to 0.020″")])
async def test_legend_in_words(n: int, said: str) -> None:
    lines = await plotted(ErrorPlot(), errors(n, known=n - 2), (80, 24))
    text = "\n".join(lines)
    for words in ("position error, ″", "lower", "upper", said, "some not determined yet"):
        assert words in text


@pytest.mark.parametrize("ascii_only", [False, True])
@pytest.mark.parametrize("n", [2, 12, 360])
async def test_any_size(n: int, ascii_only: bool) -> None:
    widget = ErrorPlot(ascii_only=ascii_only)
    app = Stage(widget)
    view = errors(n)
    async with app.run_test(size=(80, 24)) as pilot:
        widget.show(view)
        await app.workers.wait_for_complete()
        for width, height in [(1, 1), (5, 3), (14, 5), (20, 6), (23, 12), (40, 8), (80, 14), (160, 45)]:
            await pilot.resize_terminal(width, height)
            lines = screen_text(widget)
            assert [len(line) for line in lines] == [width] * height
            assert not ascii_only or "".join(lines).isascii()
            assert width < 20 or "".join(lines).strip()


async def test_a_failure_to_load_is_said_in_words(monkeypatch: pytest.MonkeyPatch) -> None:
    def fails(*_: object, **__: object) -> list[str]:
        raise OSError("no kernel for this machine")

    monkeypatch.setattr(canvas, "draw", fails)
    text = " ".join("".join(await plotted(ErrorPlot(), errors(12), (70, 12))).split())
    assert (
        text
        == "The plot cannot be drawn: plotext does not load on this computer (no kernel for this machine)."
    )


def test_plotext_waits_until_it_is_needed() -> None:
    code = "import sys, tui.widgets.plot; sys.exit('plotext' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
