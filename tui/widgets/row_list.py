"""Rows of a table to choose from; the one under the cursor is marked by a sign of its own."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from rich.text import Text
from textual.binding import Binding, BindingType
from textual.message import Message
from textual.widgets.option_list import Option

from tui.widgets.options import Options
from tui.widgets.square_bar import square_bars

#: Columns that the sign takes.
POINTER = 2
_FAR = 10**6
#: For a screen that has rows and nothing to type in. With priority, as the Enter key of such a screen has it: keys that
#: come fast are then handled in the order in which they came. The screen has an action `row` that moves the cursor.
ROW_KEYS: tuple[BindingType, ...] = (
    Binding("down", "row(1)", "Choose", tooltip="the row above or below", show=False, priority=True),
    Binding("up", "row(-1)", "Choose", tooltip="the row above or below", show=False, priority=True),
    Binding("end", f"row({_FAR})", "First or last", tooltip="the last row", show=False, priority=True),
    Binding("home", f"row(-{_FAR})", "First or last", tooltip="the first row", show=False, priority=True),
)


class RowList(Options):
    """Lists lines of text.

    Parameters
    ----------
    ascii_only : bool, optional
        Whether the sign is plain ASCII.
    """

    class Resized(Message):
        """The list has another size, whatever made it so."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "select", "Take", show=False),
    ]
    DEFAULT_CSS = """
    RowList { background: $background; border: none; padding: 0; height: 1fr; text-wrap: nowrap; }
    RowList:focus { border: none; background-tint: $background 0%; }
    RowList > .option-list--option { padding: 0 1; }
    """

    def __init__(self, *, ascii_only: bool = False, id: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id)
        self._rows: tuple[Text, ...] = ()
        self._pointer = "> " if ascii_only else "▸ "
        self._marked: int | None = None
        if ascii_only:
            square_bars(self)

    def on_resize(self) -> None:
        """Tell whoever fits rows to the width."""
        self.post_message(self.Resized())

    def show(self, rows: Sequence[Text], at: int | None) -> None:
        """Show rows, the cursor on row `at`."""
        self._rows = tuple(rows)
        self._marked = None
        self.set_options(Option(self._drawn(index)) for index in range(len(self._rows)))
        self.highlighted = at

    def move(self, by: int) -> None:
        """Move the cursor by so many rows, as far as there are any."""
        if self.option_count:
            self.highlighted = min(max((self.highlighted or 0) + by, 0), self.option_count - 1)

    def watch_highlighted(self, highlighted: int | None) -> None:
        """Move the sign along with the cursor."""
        super().watch_highlighted(highlighted)
        before, self._marked = self._marked, highlighted
        for index in {before, highlighted} - {None}:
            if index is not None and index < self.option_count:
                self.replace_option_prompt_at_index(index, self._drawn(index))

    def _drawn(self, index: int) -> Text:
        pointer = self._pointer if index == self._marked else " " * POINTER
        return Text(pointer, no_wrap=True, overflow="crop") + self._rows[index]
