"""The bench's part of the reading screen: what to set, what is typed, what was said of it."""

from __future__ import annotations

from collections.abc import Callable
from enum import Enum

from rich.text import Text
from textual import events
from textual.widgets import Static

from sessions.bench import Instruction
from tui.streams import in_ascii
from tui.widgets.marks import Characters


class Prompt(Static):
    """What to do next at the bench, in words."""

    DEFAULT_CSS = """
    Prompt { height: 5; width: 1fr; padding: 0 1; }
    """

    def __init__(self, *, ascii_only: bool = False) -> None:
        super().__init__()
        self._signs = in_ascii if ascii_only else str

    def instruct(self, instruction: Instruction) -> None:
        """Show an instruction: what to set stands out, then where that is, then what comes before it."""
        text = Text()
        text.append(self._signs(instruction.set_to), "bold")
        text.append(f"\n{self._signs(instruction.where)}")
        if instruction.first:
            text.append(f"\n{self._signs(instruction.first)}", "italic")
        self.update(text, layout=False)


class EntryLine(Static, can_focus=True):
    """The reading being typed; every key of the reading screen comes here first, in order.

    Parameters
    ----------
    typing : callable
        Called with key and character of every key; returns whether it was taken.
    pasting : callable
        Called with a pasted text.
    """

    DEFAULT_CSS = """
    EntryLine { height: 1; width: 1fr; padding: 0 1; }
    """

    def __init__(
        self,
        typing: Callable[[str, str | None], bool],
        pasting: Callable[[str], None],
        *,
        id: str | None = None,  # noqa: A002
    ) -> None:
        super().__init__(id=id)
        self._typing = typing
        self._pasting = pasting

    def show(self, typed: str, unit: str, hint: str, signs: Characters) -> None:
        """Show what is typed so far, or a hint while nothing is."""
        text = Text(no_wrap=True, overflow="ellipsis")
        text.append(f"{signs.here} ")
        text.append(typed, "bold")
        text.append(signs.slot, "bold")
        text.append(f" {unit if typed else hint}")
        self.update(text, layout=False)

    def on_key(self, event: events.Key) -> None:
        """Offer every key to the typing."""
        if self._typing(event.key, event.character):
            event.stop()
            event.prevent_default()

    def on_paste(self, event: events.Paste) -> None:
        """Hand a pasted text over."""
        event.stop()
        self._pasting(event.text)


class Said(Enum):
    """How a message is meant; the value is the mark before it, as colour may be missing."""

    PLAIN = ""
    SUSPECT = "? "
    REFUSED = "! "


class MessageLine(Static):
    """One line on the reading taken last, or on what could not be done."""

    DEFAULT_CSS = """
    MessageLine { height: 1; width: 1fr; padding: 0 1; }
    MessageLine.-suspect { color: $text-warning; text-style: bold; }
    MessageLine.-refused { color: $text-error; text-style: bold; }
    """

    def __init__(self, *, ascii_only: bool = False, id: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id, markup=False)
        self._signs = in_ascii if ascii_only else str
        #: Letters of what is said.
        self.length = 0

    def say(self, text: str, kind: Said = Said.PLAIN) -> None:
        """Say something; it stays until something else is said."""
        self.set_class(kind is Said.SUSPECT, "-suspect")
        self.set_class(kind is Said.REFUSED, "-refused")
        said = kind.value + self._signs(text)
        self.length = len(said)
        self.update(said, layout=False)

    def doubt(self, why: str) -> None:
        """Say why what is being typed cannot become a reading; "" takes that back once it can again."""
        if why:
            self.say(why, Said.REFUSED)
        elif self.has_class("-refused"):
            self.say("")
