"""The pane of results: the solved errors of both circles with their uncertainties, and how good they are."""

from __future__ import annotations

from typing import ClassVar

from rich.segment import Segment
from textual.geometry import Size
from textual.reactive import var
from textual.scroll_view import ScrollView
from textual.strip import Strip

from tui.widgets.marks import characters
from tui.widgets.styled import Styled
from tui.widgets.table import Line, ResultsView, Table, summary

__all__ = ["Results", "ResultsView"]

#: Rows of the table below which the lines above it scroll away with it.
_FEW = 4


class Results(Styled, ScrollView, can_focus=False):
    """Summary and table of errors; summary and headings stay while the table scrolls, if there is room.

    Parameters
    ----------
    ascii_only : bool, optional
        Whether to draw with plain ASCII characters.
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

    ascii_only: var[bool] = var(False)

    def __init__(
        self,
        *,
        ascii_only: bool = False,
        name: str | None = None,
        id: str | None = None,  # noqa: A002
        classes: str | None = None,
    ) -> None:
        super().__init__(name=name, id=id, classes=classes)
        self._view: ResultsView | None = None
        self._head: list[Line] = []
        self._table: Table | None = None
        self.set_reactive(Results.ascii_only, ascii_only)

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
        self.refresh()

    def _arrange(self) -> None:
        view = self._view
        width = self.scrollable_content_region.width
        if view is None or width <= 0:
            return
        signs = characters(self.ascii_only)
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
