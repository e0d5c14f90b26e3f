"""One line of the budget: a form, each field checked as one types."""

from __future__ import annotations

from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.screen import Screen
from textual.widgets import Footer, Input, Static

from sessions.budget_form import CheckedLine, LineForm, applies, check_line, form_of
from sessions.certificate.numbers import significant
from solver.budget import Line
from tui.screens.budget_page import LINES, figure_hint
from tui.screens.laid_out import LaidOut
from tui.screens.signs import Signs
from tui.screens.unsaved import Unsaved
from tui.widgets.bench import MessageLine, Said
from tui.widgets.choice import Choice
from tui.widgets.field import FIELD_KEYS, Field
from tui.widgets.square_bar import square_bars


class BudgetLineScreen(LaidOut, Signs, Unsaved, Screen["Line | None"]):
    """Asks for one line; gives it, or None if left.

    Parameters
    ----------
    line : Line or None
        What stands in the form at first; None for a new line.
    positions : int
        Of the circles.
    names : tuple of str
        What the circles are called, lower first.
    """

    TITLE = "Budget line"
    HELP = """
    One source of uncertainty. The figure is its half-width, from which the distribution makes a standard uncertainty,
    or that standard uncertainty itself. What it enters decides how it combines: another value in each cell averages
    down over the adjustment as the scatter does; another value at each position does not; a value that is the same at
    all positions cancels, since closure compares positions only; an error of the instrument's scale grows with the
    value; an error that comes so often per turn depends on the angle between two positions. What the scatter of the
    readings holds already must not be counted twice.
    """
    LEAVING = ("Leave the line?", "What you typed here is not taken.")
    BINDINGS: ClassVar[list[BindingType]] = [
        *FIELD_KEYS,
        Binding("ctrl+s,f10", "take", "Take the line"),
        Binding(
            "down,enter", "app.focus_next", "Next", tooltip="to the next field", show=False, priority=True
        ),
        Binding("up", "app.focus_previous", "Back", tooltip="to the field before", show=False, priority=True),
        Binding("escape", "leave", "Leave", tooltip="as it was"),
    ]
    DEFAULT_CSS = """
    BudgetLineScreen {
        #title { height: 1; padding: 0 1; background: $panel; text-style: bold; }
        VerticalScroll { height: 1fr; padding: 0 1; }
        Input { width: 16; }
        #field-source Input, #field-shape Input, #field-name Input { width: 44; }
        MessageLine { background: $surface; }
    }
    """

    def __init__(
        self, line: Line | None, positions: int, names: tuple[str, ...] = ("lower", "upper")
    ) -> None:
        super().__init__()
        self._initial = LineForm() if line is None else form_of(line)
        self._positions = positions
        self._names = names

    def compose(self) -> ComposeResult:
        """Lay out the fields."""
        yield Static(self.TITLE, id="title", markup=False)
        with VerticalScroll(can_focus=False):
            for line in LINES:
                yield Field(
                    line.name,
                    line.label,
                    getattr(self._initial, line.name),
                    hint=line.hint,
                    options=self._circles() if line.name == "circle" else line.options or None,
                    ascii_only=self._ascii,
                )
        yield MessageLine(ascii_only=self._ascii)
        yield Footer(compact=True, show_command_palette=False)

    def _circles(self) -> dict[str, str]:
        """Return the circles that a line may touch; of one alone only what stands in the form already."""
        called = dict(zip(("lower", "upper"), self._names, strict=False))
        if len(called) == 1:
            chosen = self._initial.circle
            return {chosen: called.get(chosen, chosen) if chosen != "both" else called["lower"]}
        return {"both": "both", **called}

    def laid_out(self) -> None:
        """Show what the line comes to."""
        if self._ascii:
            square_bars(self.query_one(VerticalScroll))
        self._look()
        # Of a line that is there already the figure is what one came for.
        first = "figure" if self._initial.name else "name"
        self.query_one(f"#field-{first}", Field).control.focus()

    @property
    def form(self) -> LineForm:
        """The form as it stands."""
        return LineForm(**{field.field: field.value for field in self.query(Field)})

    @on(Input.Changed)
    @on(Choice.Changed)
    def _look(self) -> None:
        form = self.form
        checked, shown = check_line(form, self._positions), applies(form)
        for field in self.query(Field):
            field.display = field.field in shown
            if field.field == "figure":
                field.call("Figure", figure_hint(form.effect))
            wrong = checked.wrong.get(field.field, "")
            field.complain(wrong if field.value.strip() else "")
        self._say(checked)

    def _say(self, checked: CheckedLine) -> None:
        line = self.query_one(MessageLine)
        if checked.line is None:
            line.say(self._sign(self._wrong(checked)))
        elif not checked.line.assessed:
            line.say("Not assessed: it is listed, and not counted.")
        else:
            unit = "" if checked.line.effect.kind == "proportional" else "″"
            counted = "" if checked.line.counted else ", not counted"
            line.say(f"u = {significant(checked.line.uncertainty)}{unit}{counted}")

    def _wrong(self, checked: CheckedLine) -> str:
        """Say what is still missing or wrong, by the label of the first such field."""
        labels = {line.name: line.label for line in LINES}
        first = next(line.name for line in LINES if line.name in checked.wrong)
        return f"{labels[first]}: {checked.wrong[first]}"

    def action_take(self) -> None:
        """Give the line, or go to the first field that is wrong."""
        checked = check_line(self.form, self._positions)
        if checked.line is not None:
            self.dismiss(checked.line)
            return
        first = next(field for field in self.query(Field) if field.field in checked.wrong)
        first.complain(checked.wrong[first.field])
        first.control.focus()
        self.query_one(MessageLine).say(self._sign(f"{checked.wrong[first.field]}"), Said.REFUSED)
        self.app.bell()

    @property
    def unsaved(self) -> bool:
        """Whether something was typed that would be gone."""
        return self.form != self._initial
