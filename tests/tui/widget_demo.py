"""Invented sources and small apps for the tests of the widgets."""

from __future__ import annotations

import numpy as np
from textual import events
from textual.app import App, ComposeResult
from textual.containers import Horizontal, Vertical
from textual.widget import Widget

from tui.theme import DARK, LIGHT
from tui.widgets.digits import Digits
from tui.widgets.marks import Tone, characters
from tui.widgets.matrix import CellView, Matrix
from tui.widgets.plot import ErrorPlot, PlotView
from tui.widgets.results import Results, ResultsView


class Numbers:
    """A source of numbers kept in an array, nan for an empty cell."""

    cell_width = 9
    decimals = 2
    first_step = 0

    def __init__(self, runs: int, steps: int, fill: float = np.nan) -> None:
        self.values = np.full((runs, steps), fill)
        self.first_run = 0
        self.runs = self.all_runs = runs
        self.last_step = steps - 1
        self.asked = 0

    def column_heading(self, run: int) -> tuple[str, str]:
        return f"run {run}", f"k={run}"

    def row_heading(self, step: int) -> str:
        return f"{step:>3}"

    def cell(self, run: int, step: int) -> CellView:
        self.asked += 1
        value = self.values[run, step]
        return CellView() if np.isnan(value) else CellView(f"{value:+.2f}", Tone.PLAIN)


class Tones(Numbers):
    """12 steps, 3 runs, every tone at least once."""

    def __init__(self, ascii_only: bool = False) -> None:
        super().__init__(3, 13)
        self.values[:] = np.random.default_rng(5).normal(0, 2, (3, 13))
        self.signs = characters(ascii_only)
        self.tones = {
            (0, 1): Tone.REPEAT,
            (0, 2): Tone.STRUCK,
            (0, 4): Tone.KEPT,
            (1, 3): Tone.SUSPECT,
            (1, 7): Tone.STRONG_SUSPECT,
            (1, 12): Tone.UNDETERMINED,
            (2, 5): Tone.PLANNED_NEXT,
            **{(2, step): Tone.EMPTY for step in range(6, 13)},
        }

    def row_heading(self, step: int) -> str:
        return f"{step:>2} {30 * step % 360:>3}{self.signs.degree}"

    def cell(self, run: int, step: int) -> CellView:
        tone = self.tones.get((run, step), Tone.PLAIN)
        if tone in (Tone.UNDETERMINED, Tone.EMPTY, Tone.PLANNED_NEXT):
            return CellView("", tone)
        mark = self.signs.repeats(3) if tone is Tone.REPEAT else ""
        return CellView(f"{self.values[run, step]:+.2f}".replace("-", self.signs.minus), tone, mark)


def results(n: int, *, known: int | None = None, runs: int = 3, missing: str = "") -> ResultsView:
    """Return invented results of which the first `known` positions are determined."""
    rng = np.random.default_rng(n)
    lower, upper = rng.normal(0, 0.2, (2, n))
    lower_u, upper_u = np.full(n, 0.0134), np.full(n, 0.0171)
    for column in (lower, upper, lower_u, upper_u):
        column[n if known is None else known :] = np.nan
    misfits = tuple((f"run {run}", float(rng.normal(0, 0.1))) for run in range(runs - 1))
    return ResultsView(
        lower,
        lower_u,
        upper,
        upper_u,
        standard_deviation=0.048,
        degrees_of_freedom=14,
        repeatability=0.0213,
        repeatability_freedom=38,
        misfits=(*misfits, (f"run {runs - 1}", float("nan"))),
        done=77,
        planned=78,
        time_left="about 1 min left",
        missing=missing,
    )


def errors(n: int, *, known: int | None = None, half: float = 0.02, reason: str = "") -> PlotView:
    """Return invented errors of which the first `known` positions are determined."""
    rng = np.random.default_rng(n)
    angle = np.arange(n) * 360 / n
    lower = 0.12 * np.sin(np.radians(angle)) + rng.normal(0, 0.03, n)
    upper = 0.06 * np.cos(np.radians(2 * angle)) + rng.normal(0, 0.03, n)
    lower_u, upper_u = np.full(n, half), np.full(n, half)
    for column in (lower, upper, lower_u, upper_u):
        column[n if known is None else known :] = np.nan
    return PlotView(angle, lower, lower_u, upper, upper_u, reason)


class Stage(App[None]):
    """An app with the project's colours and one widget."""

    def __init__(self, widget: Widget, *, light: bool = False) -> None:
        super().__init__()
        self.register_theme(DARK)
        self.register_theme(LIGHT)
        self.theme = LIGHT.name if light else DARK.name
        self.animation_level = "none"
        self.widget = widget

    def compose(self) -> ComposeResult:
        yield self.widget


class Bench(Stage):
    """A matrix into which readings are typed: digits, Enter and paste in one place, as on the reading screen."""

    def __init__(self, source: Numbers) -> None:
        self.matrix = Matrix(typing=self.typed, pasting=self.pasted)
        super().__init__(self.matrix)
        self.source = source
        self.text = ""
        self.moves: list[tuple[int, int]] = []

    def on_mount(self) -> None:
        self.matrix.show(self.source)
        self.matrix.focus()

    def typed(self, key: str, character: str | None) -> bool:
        if key == "enter":
            self.take(float(self.text))
            self.text = ""
            return True
        if character is not None and character in "+-.0123456789":
            self.text += character
            return True
        return False

    def pasted(self, text: str) -> None:
        for line in text.split():
            self.take(float(line))

    def take(self, value: float) -> None:
        run, step = self.matrix.cursor
        with self.batch_update():
            self.source.values[run, step] = value
            self.matrix.refresh_cell(run, step)
            last = step == self.source.last_step
            self.matrix.move_to(run + 1 if last else run, 0 if last else step + 1)

    def on_matrix_moved(self, moved: Matrix.Moved) -> None:
        self.moves.append((moved.run, moved.step))

    def press_at_once(self, keys: str) -> None:
        """Post keys as fast as they can be posted; "\\n" is Enter."""
        for character in keys:
            key, shown = ("enter", "\r") if character == "\n" else (character, character)
            self.post_message(events.Key(key, shown))


class Board(Stage):
    """All four widgets side by side."""

    CSS = """
    Horizontal { height: 1fr; }
    Vertical { width: 1fr; padding: 0 1; }
    """

    def __init__(self, *, ascii_only: bool = False, light: bool = False) -> None:
        super().__init__(Matrix(ascii_only=ascii_only), light=light)
        self.source = Tones(ascii_only)
        self.ascii_only = ascii_only

    def compose(self) -> ComposeResult:
        plain = self.ascii_only
        with Horizontal():
            with Vertical():
                yield self.widget
                yield Digits(ascii_only=plain)
            with Vertical():
                yield Results(ascii_only=plain)
                yield ErrorPlot(ascii_only=plain)

    def on_mount(self) -> None:
        matrix = self.query_one(Matrix)
        matrix.show(self.source)
        matrix.move_to(2, 5)
        self.query_one(Results).show(results(12))
        self.query_one(ErrorPlot).show(errors(12))
        self.query_one(Digits).show("-0.31", "run 1, step 3", Tone.SUSPECT)


def screen_text(widget: Widget) -> list[str]:
    """Return what a widget draws, line by line."""
    return [widget.render_line(y).text for y in range(widget.content_size.height)]
