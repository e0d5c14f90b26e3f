"""The plot of the errors of both circles against the angle."""

from __future__ import annotations

import sys
from typing import ClassVar, Unpack

import numpy as np
from rich.segment import Segment
from rich.style import Style
from textual.strip import Strip
from textual.widget import Widget
from textual.worker import Worker, WorkerState

from sessions.rounding import decimals_for
from tui.widgets import canvas
from tui.widgets.chart import Panel, PlotView, panels
from tui.widgets.formats import plain, wrapped
from tui.widgets.marks import Characters
from tui.widgets.signs import Common, InSigns
from tui.widgets.styled import Styled

__all__ = ["ErrorPlot", "PlotView"]

#: A line: pieces of text, each with the name of its style.
_Line = list[tuple[str, str]]


class ErrorPlot(Styled, InSigns, Widget, can_focus=False):
    """Errors of both circles against the angle, with their uncertainty, about a line at zero.

    Parameters
    ----------
    common
        See `Common`.
    """

    PARTS = "plot"
    COMPONENT_CLASSES: ClassVar[set[str]] = {
        "plot--axis",
        "plot--zero",
        "plot--lower",
        "plot--upper",
        "plot--words",
    }
    DEFAULT_CSS = """
    ErrorPlot {
        height: 1fr; width: 1fr;
        & > .plot--axis { color: $text-muted; }
        & > .plot--zero { color: $text-disabled; }
        & > .plot--lower { color: $text-primary; }
        & > .plot--upper { color: $text-secondary; }
        & > .plot--words { color: $text-muted; text-style: italic; }
    }
    """

    def __init__(
        self,
        **common: Unpack[Common],
    ) -> None:
        super().__init__(**common)
        self._view: PlotView | None = None
        self._lines: list[_Line] | None = None
        self._lines_for = (0, 0)
        self._ready = "plotext" in sys.modules

    def show(self, view: PlotView) -> None:
        """Plot results."""
        self._view = view
        self._lines = None
        self.refresh()

    def on_mount(self) -> None:
        """Load what draws the plot once the first screen is painted, beside the screen's own thread."""
        if not self._ready:
            self.call_after_refresh(self.run_worker, canvas.load, thread=True, exit_on_error=False)

    def on_worker_state_changed(self, event: Worker.StateChanged) -> None:
        """Draw what waited; a failure to load is said in words by the drawing."""
        event.stop()
        if event.state in (WorkerState.SUCCESS, WorkerState.ERROR):
            self._ready = True
            self._lines = None
            self.refresh()

    def watch_ascii_only(self) -> None:
        """Draw with the other set of characters."""
        self._lines = None
        super().watch_ascii_only()

    def render_line(self, y: int) -> Strip:
        """Draw one line; the plot is drawn anew only for another view or size."""
        width, height = self.content_size
        if self._lines is None or self._lines_for != (width, height):
            self._lines = self._drawn(width, height)
            self._lines_for = (width, height)
        line = self._lines[y] if y < len(self._lines) else []
        return Strip([Segment(text, self._style(name)) for name, text in line]).crop_extend(
            0, width, self._style("base")
        )

    def _style(self, name: str) -> Style:
        return self.rich_style if name == "base" else super()._style(name)

    def _drawn(self, width: int, height: int) -> list[_Line]:
        view = self._view
        if view is None:
            return []
        if not view.anything:
            return _in_the_middle(view.reason or "Nothing to plot yet.", width, height)
        if not self._ready:
            return []
        signs = self._signs
        laid = panels(view, width, height, signs, fine=not self.ascii_only)
        try:
            drawn = [canvas.draw(panel.frame, panel.points, ascii_only=self.ascii_only) for panel in laid]
        except (ImportError, OSError) as error:
            words = f"The plot cannot be drawn: plotext does not load on this computer ({error})."
            return _in_the_middle(words, width, height)
        lines: list[_Line] = []
        for panel, rows in zip(laid, drawn, strict=True):
            lines.append(_heading(view, panel, width, signs, first=panel is laid[0]))
            lines += [_coloured(row, panel, signs) for row in rows[: panel.frame.rows]]
            lines += [[("axis", row)] for row in rows[panel.frame.rows :]]
        return lines


def _in_the_middle(words: str, width: int, height: int) -> list[_Line]:
    lines = wrapped(words, max(1, min(width - 4, 60)))
    above = max(0, (height - len(lines)) // 2)
    return [[] for _ in range(above)] + [[("words", line.center(width))] for line in lines]


def _heading(view: PlotView, panel: Panel, width: int, signs: Characters, *, first: bool) -> _Line:
    """Return the line above a canvas: what is plotted to the left, the legend in words to the right."""
    what = f"{view.what}, {signs.arcsec}"
    title: _Line = [("axis", what)] if first else []
    legend: _Line = []
    if panel.circle == "both":
        lower, upper = view.names
        legend += [("lower", f"{signs.lower} {lower}"), ("axis", "  "), ("upper", f"{signs.upper} {upper}")]
        legend += [("axis", f"  {signs.both} both")] if panel.shared else []
    elif panel.circle != "error":
        title = [(panel.circle, _named(view, panel.circle)), ("axis", f"  {what}" if first else "")]
    legend.append(("axis", _bars(view, panel, signs)))
    if first and not view.everything:
        legend.append(("words", "  some not determined yet"))
    # What has no room goes: most of the title, then the legend from its end, then all of the title.
    if _length(title) + 2 + _length(legend) > width:
        title = [(name, text.replace(what, f"error, {signs.arcsec}")) for name, text in title]
    while len(legend) > 1 and _length(title) + 2 + _length(legend) > width:
        legend.pop()
    while title and _length(title) + 2 + _length(legend) > width:
        title.pop()
    return [*title, ("axis", " " * (width - _length(title) - _length(legend))), *legend]


def _named(view: PlotView, circle: str) -> str:
    """Return what the circle of a panel is called, as "lower circle" or "table"."""
    name = view.names[circle == "upper"]
    return f"{name} circle" if name in ("lower", "upper") else name


def _length(pieces: _Line) -> int:
    return sum(len(text) for _, text in pieces)


def _bars(view: PlotView, panel: Panel, signs: Characters) -> str:
    """Return what the bars are, or how long they would be at most where there is no room for them."""
    halves = np.concatenate([half for name, _, half in view.circles if panel.circle in (name, "both")])
    halves = halves[np.isfinite(halves) & (halves > 0)]
    if not halves.size:
        return ""
    if panel.barred:
        return f"  bars {signs.plus_minus} {view.bars}"
    largest = float(halves.max())
    return f"  {view.bars} up to {plain(largest, decimals_for(largest), signs)}{signs.arcsec}"


def _coloured(row: str, panel: Panel, signs: Characters) -> _Line:
    """Return a line of the canvas cut into runs of one style; colours only repeat what the markers say."""
    side = panel.frame.side
    own = panel.circle if panel.circle in ("lower", "upper") else "lower"
    names = {
        " ": "axis",
        signs.zero: "zero",
        signs.lower: "lower",
        signs.lower_bar: "lower",
        signs.upper: "upper",
        signs.upper_bar: "upper",
        signs.both: "axis",
    }
    pieces: _Line = [("axis", row[:side])]
    for character in row[side:]:
        name = names.get(character, own)
        if pieces[-1][0] == name:
            pieces[-1] = (name, pieces[-1][1] + character)
        else:
            pieces.append((name, character))
    return pieces
