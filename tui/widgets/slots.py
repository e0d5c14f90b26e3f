"""The lines of a worksheet: what is asked, what was typed, where the next number goes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from rich.segment import Segment
from textual import events
from textual.geometry import Size
from textual.message import Message
from textual.scroll_view import ScrollView
from textual.strip import Strip

from tui.widgets.formats import align_point, fit, fit_number
from tui.widgets.marks import Characters, characters
from tui.widgets.styled import Styled


@dataclass(frozen=True, slots=True)
class SlotLine:
    """One line.

    Parameters
    ----------
    label, text, unit : str
        What is asked, what counts, and its unit.
    typed : bool
        Whether that was typed, and not merely proposed.
    reading : bool
        Whether it stands in a column, whose decimal points are aligned.
    """

    label: str
    text: str
    unit: str
    typed: bool
    reading: bool = False

    @property
    def decimals(self) -> int:
        """Digits after the point of a reading."""
        return len(self.text.partition(".")[2]) if self.reading else 0


class SlotList(Styled, ScrollView, can_focus=False):
    """Lists the lines of a worksheet; the one at which one types has a sign of its own and stays in sight.

    Parameters
    ----------
    ascii_only : bool, optional
        Whether to draw with plain ASCII characters.
    """

    PARTS = "slots"
    COMPONENT_CLASSES: ClassVar[set[str]] = {
        "slots--label",
        "slots--typed",
        "slots--proposed",
        "slots--here",
        "slots--base",
    }
    DEFAULT_CSS = """
    SlotList {
        height: 1fr; width: 1fr; scrollbar-size: 1 1; overflow-x: hidden;
        & > .slots--label { color: $text-muted; }
        & > .slots--proposed { color: $text-muted; text-style: italic; }
        & > .slots--here { color: $primary; text-style: bold; }
    }
    """

    class Chosen(Message):
        """A line was clicked."""

        def __init__(self, index: int) -> None:
            super().__init__()
            self.index = index

    def __init__(self, *, ascii_only: bool = False, id: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id)
        self._lines: tuple[SlotLine, ...] = ()
        self._here = 0
        self._decimals = self._unit_width = 0
        self._signs: Characters = characters(ascii_only)

    def show(self, lines: tuple[SlotLine, ...], here: int) -> None:
        """Show the lines, `here` being the one at which one types; beyond the last there is none."""
        self._lines, self._here = lines, here
        self._decimals = max((line.decimals for line in lines), default=0)
        self._unit_width = max((len(line.unit) for line in lines), default=0)
        self._arrange()
        self.refresh()

    def on_resize(self) -> None:
        """Keep the present line in sight."""
        self._arrange()

    def on_click(self, event: events.Click) -> None:
        """Tell which line was clicked."""
        index = event.y + round(self.scroll_offset.y)
        if 0 <= index < len(self._lines):
            self.post_message(self.Chosen(index))

    def _arrange(self) -> None:
        region = self.scrollable_content_region
        extent = Size(region.width, len(self._lines))
        if extent != self.virtual_size:
            self.virtual_size = extent
        if region.height <= 0:
            return
        top = round(self.scroll_offset.y)
        here = min(self._here, len(self._lines) - 1)
        # One line above and below stays in sight, so that one sees where one comes from and goes to.
        low, high = max(0, here + 2 - region.height), max(0, here - 1)
        if not low <= top <= high:
            self.scroll_to(y=low if top < low else high, animate=False, force=True)

    def render_line(self, y: int) -> Strip:
        """Draw one line."""
        width = self.scrollable_content_region.width
        index = y + round(self.scroll_offset.y)
        if index >= len(self._lines):
            return Strip.blank(self.size.width, self._style("base"))
        return Strip(self._drawn(index, width)).crop_extend(0, self.size.width, self._style("base"))

    def _drawn(self, index: int, width: int) -> list[Segment]:
        line, signs = self._lines[index], self._signs
        here = index == self._here
        value = self._value(line, here=here)
        style = "here" if here else "typed" if line.typed else "proposed"
        room = max(1, width - 4 - self._unit_width)
        value = fit_number(value, room // 2, signs) if line.unit else fit(value, room // 2, signs)
        label_width = room - len(value)
        return [
            Segment(f"{signs.here} " if here else "  ", self._style("here")),
            Segment(
                fit(line.label, label_width - 1, signs).ljust(label_width),
                self._style("here" if here else "label"),
            ),
            Segment(value, self._style(style)),
            Segment(f" {line.unit}", self._style("label")),
        ]

    def _value(self, line: SlotLine, *, here: bool = False) -> str:
        if not line.text:
            return self._signs.slot * 3 if here else self._signs.undetermined
        if line.reading:
            return align_point(line.text, self._decimals)
        return line.text if line.typed else f"({line.text})"
