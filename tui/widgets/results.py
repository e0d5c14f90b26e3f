"""The pane of results: the solved errors of both circles with their uncertainties, and how good they are."""

from __future__ import annotations

from typing import ClassVar, Unpack

from rich.segment import Segment
from textual.geometry import Size
from textual.scroll_view import ScrollView
from textual.strip import Strip

from tui.widgets.signs import Common, InSigns
from tui.widgets.styled import Styled
from tui.widgets.table import Line, ResultsView, Table, summary

__all__ = ["Results", "ResultsView"]

#: Rows of the table below which the lines above it scroll away with it.
_FEW = 4


class Results(Styled, InSigns, ScrollView, can_focus=False):
    """Summary and table of errors; summary and headings stay while the table scrolls, if there is room.

    Parameters
    ----------
    common
        See `Common`.
    """

    PARTS = "results"
    COMPONENT_CLASSES: ClassVar[set[str]] = {
        "results--label",
        "results--value",
        "results--heading",
        "results--missing",
    }
    DEFAULT_CSS = """
    Results {
        height: 1fr; width: 1fr; scrollbar-size: 1 1; scrollbar-gutter: stable; overflow-x: hidden;
        & > .results--label { color: $text-muted; }
        & > .results--heading { color: $text-muted; text-style: underline; }
        & > .results--missing { color: $text-muted; text-style: italic; }
    }
    """

    def __init__(
        self,
        **common: Unpack[Common],
    ) -> None:
        super().__init__(**common)
        self._view: ResultsView | None = None
        self._head: list[Line] = []
        self._table: Table | None = None

    def show(self, view: ResultsView) -> None:
        """Show results; the table stays where it was scrolled to."""
        self._view = view
        self._arrange()
        self.refresh()

    def steer(self, key: str) -> bool:
        """Scroll by a cursor key that was pressed elsewhere; say whether it was one."""
        # A page is the lines that do scroll, so that none is passed over.
        page = max(1, self.scrollable_content_region.height - self._frozen)
        by = {"up": -1, "down": 1, "pageup": -page, "pagedown": page}.get(key)
        if by is not None:
            self.scroll_relative(y=by, animate=False)
        elif key == "home":
            self.scroll_home(animate=False)
        elif key == "end":
            self.scroll_end(animate=False)
        else:
            return False
        return True

    def on_show(self) -> None:
        """Lay out what came while the pane was hidden."""
        self._arrange()
        self.refresh()

    def on_resize(self) -> None:
        """Fit the columns to the width."""
        self._arrange()

    def watch_ascii_only(self) -> None:
        """Draw with the other set of characters."""
        self._arrange()
        super().watch_ascii_only()

    def _arrange(self) -> None:
        view = self._view
        width = self.scrollable_content_region.width
        if view is None or width <= 0:
            return
        signs = self._signs
        self._table = Table(view, width, signs)
        self._head = [*summary(view, width, signs), (), *self._table.headings()]
        extent = Size(width, len(self._head) + len(view.lower))
        if extent != self.virtual_size:
            self.virtual_size = extent

    @property
    def _frozen(self) -> int:
        """How many lines stay at the top."""
        height = self.scrollable_content_region.height
        return len(self._head) if height >= len(self._head) + _FEW else 0

    def _line(self, y: int) -> Line:
        index = y if y < self._frozen else y + self.scroll_offset.y
        if index < len(self._head):
            return self._head[index]
        position = index - len(self._head)
        if self._table is None or self._view is None or position >= len(self._view.lower):
            return ()
        return self._table.row(position)

    def render_line(self, y: int) -> Strip:
        """Draw one line of the screen."""
        segments = [Segment(text, self._style(name)) for name, text in self._line(y)]
        return Strip(segments).crop_extend(0, self.size.width, self._style("value"))
