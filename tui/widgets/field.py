"""A line of a form: its label, where one types or chooses, and what there is to say of it."""

from __future__ import annotations

from collections.abc import Mapping

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import HorizontalGroup
from textual.widgets import Input, Static

from tui.streams import in_ascii
from tui.widgets.choice import Choice
from tui.widgets.steady_input import SteadyInput

#: Keys of a screen with fields. With priority they move before the next key arrives; otherwise keys typed fast stay in
#: the field before.
FIELD_KEYS: tuple[BindingType, ...] = (
    Binding("tab", "app.focus_next", "Next", tooltip="to the next field", show=False, priority=True),
    Binding(
        "shift+tab", "app.focus_previous", "Back", tooltip="to the field before", show=False, priority=True
    ),
)


class Field(HorizontalGroup):
    """One field of a form.

    Parameters
    ----------
    name : str
        The field's name in the form.
    label : str
        Its label on the page.
    value : str
        What stands in it at first.
    hint : str, optional
        What to type; it gives way to what is wrong.
    options : mapping of str to str, optional
        Words by value, if one chooses instead of typing.
    ascii_only : bool, optional
        Whether the marks are plain ASCII.
    """

    DEFAULT_CSS = """
    Field {
        height: auto;
        .label { width: 18; color: $text-muted; }
        Input { width: 28; background: $panel 60%; }
        Input:focus { background: $panel; }
        .note { width: 1fr; height: auto; padding: 0 1; color: $text-muted; }
        &.-here .label { color: $primary; text-style: bold; }
        &.-wrong .note { color: $text-error; text-style: bold; }
    }
    """

    def __init__(
        self,
        name: str,
        label: str,
        value: str,
        *,
        hint: str = "",
        options: Mapping[str, str] | None = None,
        ascii_only: bool = False,
    ) -> None:
        super().__init__(id=f"field-{name.replace('_', '-').replace('.', '-')}")
        self.field = name
        self.wrong = ""
        self._words = in_ascii if ascii_only else str
        self._label = self._words(label)
        self._hint = self._words(hint)
        self._control: Input | Choice = (
            SteadyInput(value, compact=True, select_on_focus=True)
            if options is None
            else Choice(options, value, ascii_only=ascii_only)
        )

    def compose(self) -> ComposeResult:
        """Lay out label, control and note."""
        yield Static(self._label, classes="label", markup=False)
        yield self._control
        note = Static(self._hint, classes="note", markup=False)
        # A choice says for itself what one can choose: its note only ever says what is wrong.
        if isinstance(self._control, Choice):
            note.display = False
        yield note

    def on_descendant_focus(self) -> None:
        """Mark the label while one is here."""
        self.set_class(True, "-here")

    def on_descendant_blur(self) -> None:
        """Take the mark away."""
        self.set_class(False, "-here")

    @on(Choice.Typed)
    def _stray(self, typed: Choice.Typed) -> None:
        typed.stop()
        note = self.query_one(".note", Static)
        note.display = bool(typed.text)
        self.set_class(note.display, "-wrong")
        note.update(self._words(f"! no “{typed.text}” here: choose with the arrow keys"))

    @property
    def control(self) -> Input | Choice:
        """What takes the keys."""
        return self._control

    @property
    def value(self) -> str:
        """What stands in the field."""
        return self._control.value

    @value.setter
    def value(self, value: str) -> None:
        self._control.value = value

    def call(self, label: str, hint: str) -> None:
        """Give the field another label and another hint."""
        label, hint = self._words(label), self._words(hint)
        if (label, hint) == (self._label, self._hint):
            return
        self._label, self._hint = label, hint
        self.query_one(".label", Static).update(label)
        self._show()

    def complain(self, wrong: str) -> None:
        """Say what is wrong, or nothing."""
        if wrong != self.wrong:
            self.wrong = wrong
            self._show()

    def _show(self) -> None:
        self.set_class(bool(self.wrong), "-wrong")
        for note in self.query(".note").results(Static):
            note.update("! " + self._words(self.wrong) if self.wrong else self._hint)
