"""Small modal questions: for a line of text, or for yes or no."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.message import Message
from textual.screen import ModalScreen
from textual.suggester import Suggester, SuggestFromList
from textual.widgets import Button, Input, Static

from tui.screens.card import CARD
from tui.screens.leave_once import LeaveOnce
from tui.screens.signs import Signs
from tui.widgets.steady_input import SteadyInput


class AskText(Signs, LeaveOnce, ModalScreen[str | None]):
    """Ask for a line of text: Enter gives it, Escape gives None.

    Parameters
    ----------
    question : str
        What is asked for, for example "Why is reading 41 struck?".
    initial : str, optional
        What the line holds at first.
    suggestions : sequence of str, or Suggester, optional
        Completed as one types, taken with the right arrow key.
    required : bool, optional
        Whether an empty line is turned down.
    note : str, optional
        A line of explanation.
    choices : tuple of str, optional
        Usual answers, numbered on the screen: the number alone stands for the answer.
    check : callable, optional
        Returns what is wrong with a text, or "" to take it.
    """

    TITLE = "A line to type"
    HELP = """Type the line and press Enter. Where usual answers stand below with a number, the number alone is enough;
    while one is typed, the rest of it is shown and Tab takes it."""
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("tab", "complete", "Complete", tooltip="take the answer shown", show=False, priority=True),
        Binding("f1", "app.help", "Help", tooltip="this page"),
        Binding("escape", "leave", "Leave", tooltip="everything stays as it was"),
    ]
    DEFAULT_CSS = f"AskText {{ {CARD} }}"

    def __init__(
        self,
        question: str,
        *,
        initial: str = "",
        suggestions: tuple[str, ...] | Suggester = (),
        required: bool = True,
        note: str = "",
        choices: tuple[str, ...] = (),
        check: Callable[[str], str] | None = None,
    ) -> None:
        super().__init__()
        self._question = question
        self._initial = initial
        self._choices = choices
        self._check = check
        self._suggester = (
            suggestions
            if isinstance(suggestions, Suggester)
            else SuggestFromList(suggestions or choices, case_sensitive=False)
        )
        self._required = required
        self._note = note

    def compose(self) -> ComposeResult:
        """Lay out the question and the line."""
        with Vertical(classes="card"):
            yield Static(self._sign(self._question), classes="question", markup=False)
            yield SteadyInput(self._initial, compact=True, suggester=self._suggester, select_on_focus=True)
            yield Static("", classes="wrong", markup=False)
            if self._note:
                yield Static(self._sign(self._note), markup=False)
            if self._choices:
                numbered = "\n".join(
                    f"{number} {choice}" for number, choice in enumerate(self._choices, start=1)
                )
                yield Static(f"Usual answers; the number is enough:\n{numbered}", markup=False)
            yield Static("Enter takes it, Esc leaves all as it was, F1 helps.", classes="keys", markup=False)

    @on(Input.Submitted)
    def _take(self, event: Input.Submitted) -> None:
        event.stop()
        text = self._chosen(event.value.strip())
        wrong = "Nothing typed yet." if self._required and not text else ""
        if text and self._check is not None:
            wrong = self._check(text)
        if wrong:
            self.query_one(".wrong", Static).update(self._sign(f"! {wrong}"))
        else:
            self.dismiss(text)

    @on(Input.Changed)
    def _typing(self) -> None:
        """Stop saying what was wrong with the line before."""
        self.query_one(".wrong", Static).update("")

    def _chosen(self, text: str) -> str:
        """Return the answer that a number stands for."""
        number = int(text) if text.isdecimal() else 0
        return self._choices[number - 1] if 1 <= number <= len(self._choices) else text

    def action_complete(self) -> None:
        """Take what is suggested."""
        line = self.query_one(Input)
        if line.cursor_at_end:
            line.action_cursor_right()

    def action_leave(self) -> None:
        """Give None."""
        self.dismiss(None)


@dataclass
class Noted(Message):
    """What follows from yes, worked out beside the screen."""

    note: str


class Confirm(Signs, LeaveOnce, ModalScreen[bool]):
    """Ask for yes or no: Escape is no.

    Parameters
    ----------
    question : str
        What is asked.
    yes, no : str, optional
        What the two buttons say; each begins with its key, so they must begin differently.
    note : str or callable, optional
        What follows from yes; what takes its time is worked out off the screen's thread.
    """

    TITLE = "Yes or no"
    HELP = """Nothing has happened yet: the question says what yes would do. Press the first letter of an answer, or
    move to it and press Enter."""
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("left,right,up,down", "app.focus_next", "Other answer", tooltip="mark it", show=False),
        Binding("f1", "app.help", "Help", tooltip="this page"),
        Binding("escape", "answer(False)", "No", tooltip="everything stays as it was"),
    ]
    DEFAULT_CSS = f"""Confirm {{ {CARD}
        .buttons {{ height: auto; margin-top: 1; }}
        Button {{ margin-right: 2; }}
    }}"""

    def __init__(
        self, question: str, *, yes: str = "Yes", no: str = "No", note: str | Callable[[], str] = ""
    ) -> None:
        super().__init__()
        self._question = question
        self._yes = yes
        self._no = no
        self._note = note

    def compose(self) -> ComposeResult:
        """Lay out the question and two buttons."""
        with Vertical(classes="card"):
            yield Static(self._sign(self._question), classes="question", markup=False)
            if self._note:
                said = "…" if callable(self._note) else self._note
                yield Static(self._sign(said), id="note", markup=False)
            with Horizontal(classes="buttons"):
                yield Button(self._yes, id="yes", compact=True)
                yield Button(self._no, id="no", compact=True)
            letters = f"{self._yes[:1].upper()} or {self._no[:1].upper()}"
            keys = f"{letters}, or Enter on the marked one; Escape is no."
            yield Static(keys, classes="keys", markup=False)

    def on_mount(self) -> None:
        """Bind the first letters of the two answers, and work the note out."""
        self._bindings.bind(self._yes[:1].lower(), "answer(True)", show=False)
        self._bindings.bind(self._no[:1].lower(), "answer(False)", show=False)
        note = self._note
        if callable(note):
            self.run_worker(lambda: self.post_message(Noted(note())), thread=True, exit_on_error=True)

    @on(Noted)
    def _show_note(self, noted: Noted) -> None:
        for shown in self.query("#note").results(Static):
            shown.update(self._sign(noted.note))

    @on(Button.Pressed)
    def _press(self, event: Button.Pressed) -> None:
        event.stop()
        self.dismiss(event.button.id == "yes")

    def action_answer(self, yes: bool) -> None:
        """Give the answer."""
        self.dismiss(yes)
