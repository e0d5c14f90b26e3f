"""Nothing that is shown steers the terminal: names of files may hold escapes and marks that turn letters round."""

from __future__ import annotations

from rich.segment import Segment
from textual.color import Color
from textual.filter import LineFilter

from tui.streams import STEERING


class Harmless(LineFilter):
    """Takes out of every line painted what would steer the terminal; it has no width, so nothing moves."""

    def apply(self, segments: list[Segment], background: Color) -> list[Segment]:  # noqa: ARG002 - Textual's signature
        """Return the segments, without such signs."""
        if not any(STEERING.search(segment.text) for segment in segments):
            return segments
        return [
            segment if segment.control else Segment(STEERING.sub("", segment.text), segment.style)
            for segment in segments
        ]
