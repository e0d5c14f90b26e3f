"""The last reading in digits large enough to be read from two metres."""

from __future__ import annotations

from typing import ClassVar, Unpack

from rich.segment import Segment
from textual.geometry import Size
from textual.strip import Strip
from textual.widget import Widget

from tui.widgets.formats import fit, fit_number
from tui.widgets.glyphs import has_shapes, large
from tui.widgets.marks import Tone
from tui.widgets.signs import Common, InSigns


class Digits(InSigns, Widget, can_focus=False):
    """A number in digits five or three rows high, as there is room, with a line of words below.

    Parameters
    ----------
    common
        See `Common`.
    """

    COMPONENT_CLASSES: ClassVar[set[str]] = {
        "digits--number",
        "digits--struck",
        "digits--suspect",
        "digits--strong",
        "digits--caption",
    }
    DEFAULT_CSS = """
    Digits {
        height: 6; width: 1fr;
        & > .digits--number { color: $foreground; }
        & > .digits--struck { color: $text-muted; }
        & > .digits--suspect { color: $text-warning; }
        & > .digits--strong { color: $text-error; text-style: bold; }
        & > .digits--caption { color: $text-muted; }
    }
    """

    def __init__(
        self,
        **common: Unpack[Common],
    ) -> None:
        super().__init__(**common)
        self._number = ""
        self._caption = ""
        self._tone = Tone.PLAIN

    def show(self, number: str, caption: str = "", tone: Tone = Tone.PLAIN) -> None:
        """Show a number as it was typed, "" for none yet.

        Parameters
        ----------
        number : str
            With its sign and point.
        caption : str, optional
            What it is, in words.
        tone : Tone, optional
            A suspect or struck number has its sign before the caption.
        """
        if (number, caption, tone) != (self._number, self._caption, self._tone):
            self._number, self._caption, self._tone = number, caption, tone
            self.refresh()

    def _rows(self, size: Size) -> tuple[tuple[str, ...], str]:
        """Return the rows of the number and the caption for a size; what has no room is left out."""
        if not self._number or size.height < 1:
            return (), ""
        signs = self._signs
        sign = signs.mark(self._tone) if self._tone is not Tone.REPEAT else " "
        caption = fit(f"{sign} {self._caption}".strip(), size.width, signs)
        # The place of the sign is kept, so that digits stand still from one reading to the next.
        number = self._number if self._number[0] in "+-−" else " " + self._number
        for rows in (5, 3):
            spare = size.height - rows
            if spare < 0 or not has_shapes(number):
                continue
            shape = large(number, rows, ascii_only=self.ascii_only)
            if len(shape[0]) <= size.width:
                return shape, caption if spare else ""
        return (fit_number(number.strip(), size.width, signs),), caption if size.height > 1 else ""

    def render_line(self, y: int) -> Strip:
        """Draw one line: the number and its caption stand together in the middle."""
        size = self.content_size
        rows, caption = self._rows(size)
        names = {Tone.STRUCK: "struck", Tone.SUSPECT: "suspect", Tone.STRONG_SUSPECT: "strong"}
        style = self.get_component_rich_style(f"digits--{names.get(self._tone, 'number')}")
        top = max(0, (size.height - len(rows) - bool(caption)) // 2)
        line = y - top
        if 0 <= line < len(rows):
            text = rows[line]
        elif line == len(rows) and caption:
            text = caption
            if self._tone not in names:
                style = self.get_component_rich_style("digits--caption")
        else:
            return Strip.blank(size.width, self.rich_style)
        width = len(text) if line == len(rows) else max(len(row) for row in rows)
        left = " " * max(0, (size.width - width) // 2)
        strip = Strip([Segment(left + text, style)])
        return strip.crop_extend(0, size.width, self.rich_style)
