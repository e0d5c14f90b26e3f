"""Rows of a table to choose from."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from rich.text import Text
from textual.binding import Binding, BindingType
from textual.message import Message

from tui.widgets.pointed import Pointed

_FAR = 10**6
#: For a screen that has rows and nothing to type in. With priority, as the Enter key of such a screen has it: keys that
#: come fast are then handled in the order in which they came. The screen has an action `row` that moves the cursor.
ROW_KEYS: tuple[BindingType, ...] = (
    Binding("down", "row(1)", "Choose", tooltip="the row above or below", show=False, priority=True),
    Binding("up", "row(-1)", "Choose", tooltip="the row above or below", show=False, priority=True),
    Binding("end", f"row({_FAR})", "First or last", tooltip="the last row", show=False, priority=True),
    Binding("home", f"row(-{_FAR})", "First or last", tooltip="the first row", show=False, priority=True),
)


class RowList(Pointed):
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
    RowList { text-wrap: nowrap; }
    """

    def __init__(self, *, ascii_only: bool = False, id: str | None = None) -> None:  # noqa: A002
        super().__init__(ascii_only=ascii_only, id=id)
        self._rows: tuple[Text, ...] = ()

    def on_resize(self) -> None:
        """Tell whoever fits rows to the width."""
        self.post_message(self.Resized())

    def show(self, rows: Sequence[Text], at: int | None) -> None:
        """Show rows, the cursor on row `at`."""
        self._rows = tuple(rows)
        self.draw(len(self._rows), at)

    def move(self, by: int) -> None:
        """Move the cursor by so many rows, as far as there are any."""
        if self.option_count:
            self.highlighted = min(max((self.highlighted or 0) + by, 0), self.option_count - 1)

    def drawn(self, index: int) -> Text:
        """Return a row with its pointer."""
        return Text(self.pointer(index), no_wrap=True, overflow="crop") + self._rows[index]
