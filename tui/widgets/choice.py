"""One of a few: all of them stand on the page, the chosen one is marked."""

from __future__ import annotations

from collections.abc import Mapping
from typing import ClassVar

from rich.text import Text
from textual import events
from textual.binding import Binding, BindingType
from textual.geometry import Size
from textual.message import Message
from textual.reactive import reactive
from textual.widget import Widget

from tui.streams import in_ascii


class Choice(Widget, can_focus=True):
    """A choice by the left and right arrow keys, the space bar, the mouse, or the beginning of its words.

    What is typed here and begins no option, as when one thinks to be in another field, changes nothing and is said
    until the field is left: no single letter of it is looked at on its own.

    Parameters
    ----------
    options : mapping of str to str
        Words on the page by value, in order.
    value : str
        The value chosen at first.
    ascii_only : bool, optional
        Whether the marks are plain ASCII.
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("left", "move(-1)", "Choose", show=False),
        Binding("right", "move(1)", "Choose", show=False),
    ]
    DEFAULT_CSS = """
    Choice { width: 1fr; height: auto; }
    Choice:focus { background: $panel; }
    """

    value: reactive[str] = reactive("", init=False)

    class Changed(Message):
        """Another one was chosen."""

        def __init__(self, choice: Choice, value: str) -> None:
            super().__init__()
            self.choice = choice
            self.value = value

        @property
        def control(self) -> Choice:
            """The choice that changed."""
            return self.choice

    class Typed(Message):
        """Something was typed that begins no option; "" when that is over."""

        def __init__(self, text: str) -> None:
            super().__init__()
            self.text = text

    def __init__(
        self,
        options: Mapping[str, str],
        value: str,
        *,
        ascii_only: bool = False,
        id: str | None = None,  # noqa: A002
    ) -> None:
        super().__init__(id=id)
        self._options = {key: in_ascii(words) if ascii_only else words for key, words in options.items()}
        self._marks = ("(*) ", "( ) ") if ascii_only else ("● ", "○ ")
        self._typed = ""
        self.set_reactive(Choice.value, value)

    def watch_value(self) -> None:
        """Tell the screen."""
        self.post_message(self.Changed(self, self.value))

    def action_move(self, by: int) -> None:
        """Choose the next or the one before, round at the ends."""
        self._forget()
        values = list(self._options)
        self.value = values[(values.index(self.value) + by) % len(values)]

    def on_key(self, event: events.Key) -> None:
        """Choose by the beginning of the words; a blank that begins nothing chooses the next."""
        if event.key == "backspace":
            event.stop()
            self._forget()
        elif event.character is not None and event.is_printable:
            event.stop()
            event.prevent_default()
            if event.character == " " and not self._typed:
                self.action_move(1)
            else:
                self._type(event.character)

    def on_blur(self) -> None:
        """Begin anew with the next visit."""
        self._forget()

    def _type(self, character: str) -> None:
        self._typed += character.lower()
        for value, words in self._options.items():
            if words.lower().startswith(self._typed):
                self.value = value
                return
        self.post_message(self.Typed(self._typed))

    def _forget(self) -> None:
        if self._typed:
            self._typed = ""
            self.post_message(self.Typed(""))

    def on_click(self, event: events.Click) -> None:
        """Choose what was clicked."""
        for value, (row, start, text) in self._places(self.content_size.width).items():
            if event.y == row and start <= event.x < start + len(text):
                self.value = value

    def render(self) -> Text:
        """Draw the options, wrapped between them."""
        drawn = Text(no_wrap=True)
        last = 0
        for value, (row, start, text) in self._places(self.content_size.width).items():
            if row > last:
                drawn.append("\n" * (row - last))
                last = row
            elif start:
                drawn.append("  ")
            chosen = value == self.value
            drawn.append(text, ("bold reverse" if self.has_focus else "bold") if chosen else "")
        return drawn

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:  # noqa: ARG002
        """Return the rows that the options need."""
        return 1 + max(row for row, _, _ in self._places(width).values())

    def _places(self, width: int) -> dict[str, tuple[int, int, str]]:
        """Return row, first column and text of each option."""
        places: dict[str, tuple[int, int, str]] = {}
        row = column = 0
        for value, words in self._options.items():
            text = self._marks[value != self.value] + words
            if column and column + 2 + len(text) > width:
                row, column = row + 1, 0
            elif column:
                column += 2
            places[value] = (row, column, text)
            column += len(text)
        return places
