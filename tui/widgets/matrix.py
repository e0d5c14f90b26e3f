"""The matrix of readings: rows are steps, columns are runs, drawn line by line from a source."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar, Unpack

from rich.segment import Segment
from textual import events
from textual.message import Message
from textual.scroll_view import ScrollView
from textual.strip import Strip

from tui.widgets.cells import draw_cell
from tui.widgets.formats import fit
from tui.widgets.grid import HEADINGS, Grid
from tui.widgets.marks import Tone
from tui.widgets.signs import Common, InSigns
from tui.widgets.source import CellView, MatrixSource
from tui.widgets.styled import Styled

__all__ = ["CellView", "Matrix", "MatrixSource", "Tone"]


def _takes_no_key(key: str, character: str | None) -> bool:  # noqa: ARG001
    return False


def _takes_no_paste(text: str) -> None:  # noqa: ARG001
    return None


class Matrix(Styled, InSigns, ScrollView, can_focus=True, inherit_bindings=False):
    """A matrix of cells with frozen headings and a cursor.

    Nothing is kept of the cells: a line is drawn from the source when it is needed, so one changed cell costs
    the same at any size. Numbers are never cut: a column that would not fit whole waits to be scrolled to.

    Parameters
    ----------
    typing : callable, optional
        Called with key and character of every key, in the order in which they came and before the cursor keys
        are looked at; returns whether the key was taken.
    pasting : callable, optional
        Called with a pasted text, in the same order.
    common
        See `Common`.
    """

    class Moved(Message):
        """The cursor was moved by a key or the mouse."""

        def __init__(self, matrix: Matrix, run: int, step: int) -> None:
            super().__init__()
            self.matrix = matrix
            self.run = run
            self.step = step

        @property
        def control(self) -> Matrix:
            """The matrix it happened in."""
            return self.matrix

    PARTS = "matrix"
    COMPONENT_CLASSES: ClassVar[set[str]] = {
        "matrix--base",
        "matrix--heading",
        "matrix--here",
        "matrix--mark",
        "matrix--cursor",
        *(f"matrix--{tone.value}" for tone in Tone),
    }
    DEFAULT_CSS = """
    Matrix {
        height: 1fr; width: 1fr; scrollbar-size: 1 1;
        & > .matrix--heading { color: $text-muted; }
        & > .matrix--here { color: $text-accent; text-style: bold; }
        & > .matrix--mark { color: $text-muted; }
        & > .matrix--empty { color: $text-disabled; }
        & > .matrix--next { color: $text-accent; text-style: bold; }
        & > .matrix--struck { color: $text-muted; text-style: strike; }
        & > .matrix--kept { text-style: italic; }
        & > .matrix--suspect { color: $text-warning; text-style: underline; }
        & > .matrix--strong { color: $text-error; text-style: bold underline; }
        & > .matrix--undetermined { color: $text-disabled; }
        & > .matrix--cursor {
            color: $block-cursor-foreground; background: $block-cursor-background; text-style: bold;
        }
    }
    """

    def __init__(
        self,
        *,
        typing: Callable[[str, str | None], bool] = _takes_no_key,
        pasting: Callable[[str], None] = _takes_no_paste,
        **common: Unpack[Common],
    ) -> None:
        super().__init__(**common)
        self._typing = typing
        self._pasting = pasting
        self._source: MatrixSource | None = None
        self._side = 0
        self._cursor = (0, 0)

    @property
    def cursor(self) -> tuple[int, int]:
        """Run and step of the cell under the cursor."""
        return self._cursor

    def show(self, source: MatrixSource) -> None:
        """Draw from another source, or from one whose size changed; the cursor stays if its cell is there."""
        self._source = source
        steps = range(source.first_step, source.last_step + 1)
        self._side = 2 + max((len(source.row_heading(step)) for step in steps), default=0)
        grid = self._grid()
        self.virtual_size = grid.extent
        self._cursor = grid.inside(*self._cursor)
        self._reveal()
        self.refresh()

    def refresh_cell(self, run: int, step: int) -> None:
        """Repaint one cell, if it is on the screen, and nothing else."""
        place = self._grid().places(run, step).get("cell")
        if place is not None:
            self.refresh(place)

    def refresh_all(self) -> None:
        """Repaint everything from the same source; its size must not have changed."""
        self.refresh()

    def move_to(self, run: int, step: int) -> None:
        """Put the cursor on a cell, scrolling it into sight; posts no message."""
        left, self._cursor = self._cursor, self._grid().inside(run, step)
        if left != self._cursor and not self._reveal():
            grid = self._grid()
            self.refresh(*grid.places(*left).values(), *grid.places(*self._cursor).values())

    def _grid(self) -> Grid:
        source = self._source
        if source is None:
            return Grid()
        # The scroll bars take part of `size`.
        view = self.scrollable_content_region.size
        return Grid(
            source.runs,
            source.first_step,
            source.last_step,
            source.cell_width,
            self._side,
            view.width,
            view.height,
            source.first_run + max(0, -int(-self.scroll_x // source.cell_width)),
            self.scroll_offset.y,
            source.first_run,
        )

    def _reveal(self) -> bool:
        """Scroll the cursor into sight; return whether that moved anything."""
        grid = self._grid()
        if grid.empty or grid.height == 0:
            return False
        column, row = grid.sight(*self._cursor)
        self.scroll_to((column - grid.first_run) * grid.cell_width, row, animate=False)
        now = self._grid()
        return (now.column, now.row) != (grid.column, grid.row)

    def on_resize(self) -> None:
        """Keep the cursor in sight."""
        self._reveal()

    def on_key(self, event: events.Key) -> None:
        """Offer every key to the typing first; what it leaves may move the cursor."""
        typed = self._typing(event.key, event.character)
        target = None if typed else self._target(event.key)
        if target is not None:
            self._move_by_hand(*target)
        if typed or target is not None:
            event.stop()
            event.prevent_default()

    def steer(self, key: str) -> tuple[int, int] | None:
        """Move the cursor by a cursor key that was pressed elsewhere; None for any other key.

        Returns run and step of the cell that it leads to, which may be among runs that are not shown. No message is
        sent: keys behind this one would be handled before it arrives.
        """
        target = self._target(key)
        return None if target is None else self._aim(*target)

    def on_paste(self, event: events.Paste) -> None:
        """Hand a pasted text over, in the order of the keys."""
        event.stop()
        self._pasting(event.text)

    def on_click(self, event: events.Click) -> None:
        """Put the cursor where the mouse clicked; a click on a heading keeps the other coordinate."""
        offset = event.get_content_offset(self)
        grid = self._grid()
        if offset is None or grid.empty:
            return
        run = grid.run_at(offset.x) if offset.x >= grid.side else self._cursor[0]
        step = grid.step_at(offset.y) if offset.y >= HEADINGS else self._cursor[1]
        if run is not None and step is not None:
            event.stop()
            self._move_by_hand(run, step)

    def _move_by_hand(self, run: int, step: int) -> None:
        before = self._cursor
        place = self._aim(run, step)
        if place != before:
            self.post_message(self.Moved(self, *place))

    def _aim(self, run: int, step: int) -> tuple[int, int]:
        """Move the cursor as far as runs are shown; return the cell meant, whose runs whoever hears of it shows."""
        source = self._source
        if source is not None and not source.first_run <= run < source.runs:
            return (run, step) if 0 <= run < source.all_runs else self._cursor
        self.move_to(run, step)
        return self._cursor

    def _target(self, key: str) -> tuple[int, int] | None:
        """Return the cell that a cursor key leads to, perhaps beyond the edge; None for other keys."""
        grid = self._grid()
        run, step = self._cursor
        page = max(1, grid.height - HEADINGS - 1)
        targets = {
            "up": (run, step - 1),
            "down": (run, step + 1),
            "left": (run - 1, step),
            "right": (run + 1, step),
            "home": (run, grid.first_step),
            "end": (run, grid.last_step),
            "ctrl+home": (0, grid.first_step),
            "ctrl+end": (self._source.all_runs - 1 if self._source else 0, grid.last_step),
            "pageup": (run, step - page),
            "pagedown": (run, step + page),
        }
        return targets.get(key)

    def render_line(self, y: int) -> Strip:
        """Draw one line of the screen."""
        grid = self._grid()
        source = self._source
        segments: list[Segment] = []
        if source is not None and not grid.empty:
            step = grid.step_at(y)
            if y < HEADINGS:
                segments = self._headings(source, grid.columns, y)
            elif step is not None:
                segments = self._row(source, grid.columns, step)
        return Strip(segments).crop_extend(0, self.size.width, self._style("base"))

    def _headings(self, source: MatrixSource, columns: range, line: int) -> list[Segment]:
        signs = self._signs
        width = source.cell_width - 1
        segments = [Segment(" " * self._side, self._style("base"))]
        for run in columns:
            style = self._style("here" if run == self._cursor[0] else "heading")
            segments.append(
                Segment(fit(source.column_heading(run)[line], width, signs).rjust(width) + " ", style)
            )
        return segments

    def _row(self, source: MatrixSource, columns: range, step: int) -> list[Segment]:
        signs = self._signs
        here = step == self._cursor[1]
        heading = (signs.here if here else " ") + source.row_heading(step).ljust(self._side - 1)
        segments = [Segment(heading, self._style("here" if here else "heading"))]
        for run in columns:
            segments += draw_cell(
                source.cell(run, step),
                source.cell_width,
                source.decimals,
                signs,
                self._style,
                cursor=here and run == self._cursor[0],
            )
        return segments
