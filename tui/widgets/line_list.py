"""A list of any length, drawn line by line from a function."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import ClassVar

from rich.segment import Segment
from textual import events
from textual.geometry import Region, Size
from textual.message import Message
from textual.scroll_view import ScrollView
from textual.strip import Strip

from tui.widgets.formats import fit
from tui.widgets.marks import Characters
from tui.widgets.square_bar import square_bars
from tui.widgets.styled import Styled


class LineList(Styled, ScrollView, can_focus=True, inherit_bindings=False):
    """Shows lines, one of them under the cursor; a line is made only when it is drawn.

    Parameters
    ----------
    line : callable
        Returns the text of an item.
    signs : Characters
        The set of characters.
    """

    class Moved(Message):
        """The cursor is on another line."""

    PARTS = "lines"
    COMPONENT_CLASSES: ClassVar[set[str]] = {"lines--line", "lines--cursor"}
    DEFAULT_CSS = """
    LineList {
        height: 1fr; scrollbar-size: 1 1; overflow-x: hidden;
        & > .lines--cursor { background: $block-cursor-background; color: $block-cursor-foreground; }
    }
    """

    def __init__(self, line: Callable[[int], str], signs: Characters) -> None:
        super().__init__()
        self._line = line
        self._signs = signs
        self._items: Sequence[int] = ()
        self._cursor = 0

    def on_mount(self) -> None:
        """Draw the scroll bar with the signs that there are."""
        if self._signs.here.isascii():
            square_bars(self)

    def show(self, items: Sequence[int]) -> None:
        """Show these items, in this order, the cursor on the last."""
        self._items = items
        self.virtual_size = Size(0, len(items))
        self.move(len(items))
        self.refresh()

    @property
    def item(self) -> int | None:
        """The item under the cursor, None where there is none."""
        return self._items[self._cursor] if self._items else None

    @property
    def page(self) -> int:
        """Lines to go for a page."""
        return max(1, self.scrollable_content_region.height - 1)

    def move(self, by: int) -> None:
        """Move the cursor by so many lines, as far as there are any."""
        self._cursor = min(max(self._cursor + by, 0), max(0, len(self._items) - 1))
        self._reveal()
        self.refresh()
        self.post_message(self.Moved())

    def on_resize(self) -> None:
        """Keep the cursor in sight."""
        self._reveal()

    def on_click(self, event: events.Click) -> None:
        """Put the cursor where the mouse clicked."""
        line = event.y + self.scroll_offset.y
        if line < len(self._items):
            self.move(line - self._cursor)

    def _reveal(self) -> None:
        self.scroll_to_region(Region(0, self._cursor, 1, 1), animate=False, force=True)

    def render_line(self, y: int) -> Strip:
        """Draw one line of the screen."""
        width, place = self.scrollable_content_region.width, y + self.scroll_offset.y
        if place >= len(self._items):
            return Strip.blank(self.size.width, self._style("line"))
        style = self._style("cursor" if place == self._cursor else "line")
        lead = self._signs.here if place == self._cursor else " "
        text = fit(f"{lead} {self._line(self._items[place])}", width, self._signs)
        return Strip([Segment(text, style)]).crop_extend(0, self.size.width, style)
