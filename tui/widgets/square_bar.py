"""A scroll bar for terminals that lack the finer block signs."""

from __future__ import annotations

from typing import ClassVar

from textual.scrollbar import ScrollBarRender
from textual.widget import Widget


class SquareBar(ScrollBarRender):
    """Draws whole cells only, by their background."""

    VERTICAL_BARS: ClassVar[list[str]] = [" "] * 8
    HORIZONTAL_BARS: ClassVar[list[str]] = [" "] * 8


def square_bars(widget: Widget) -> None:
    """Let the scroll bars of a widget be drawn so."""
    for bar in (widget.vertical_scrollbar, widget.horizontal_scrollbar):
        bar.renderer = SquareBar  # type: ignore[misc] # declared for the class, looked up on the instance
