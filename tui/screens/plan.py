"""The planner: a few figures, and beside them what each choice of offsets costs and gives."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Container
from textual.events import DescendantBlur
from textual.message import Message
from textual.screen import Screen
from textual.widgets import Footer, Input, OptionList, Static

from sessions.plan import Plan, Wanted, plan
from sessions.plan_form import CheckedPlan, PlanForm, applies, check_plan, session_form
from sessions.step_angle import angle
from tui.latest import Latest
from tui.plan_columns import recommendation, set_words
from tui.plan_rows import RECOMMENDED, cut, table
from tui.screens.laid_out import LaidOut
from tui.screens.leave_once import LeaveOnce
from tui.screens.new_session import NewSessionScreen
from tui.screens.plan_page import CHOICES, NUMBERS, label_of
from tui.screens.signs import Signs
from tui.widgets.bench import MessageLine, Said
from tui.widgets.choice import Choice
from tui.widgets.field import FIELD_KEYS, Field
from tui.widgets.pointed import POINTER
from tui.widgets.row_list import RowList

if TYPE_CHECKING:
    from sessions.session import Session

_LEGEND = "u and U = k u: type A only, k by the degrees of freedom (dof)."


@dataclass
class Planned(Message):
    """A plan is ready."""

    plan: Plan


class PlanScreen(LaidOut, Signs, LeaveOnce, Screen["Session | None"]):
    """Weighs choices of offsets and begins a session with the one taken; gives that session, or None if left.

    Parameters
    ----------
    folder : Path
        Where the session file goes.
    form : PlanForm, optional
        What stands in the fields at first.
    """

    TITLE = "Plan"
    HELP = """
    Type what you know, and the table says what each number of runs costs in readings and hours and what it gives.
    Each row has the best offsets known for its number of runs. The row marked * is recommended; below the table
    stands why. Enter goes from the fields to the table, and Enter on a row fills in the form of a new session.

    u is the standard uncertainty of a position error about the mean of its circle, U the expanded one at 95.45 %, its
    factor by the degrees of freedom. Any two: U of the difference of two positions, over all pairs and for the worst
    pair. All of it is of type A: what instrument, mirror and axes add comes on top.

    Decides: U takes no more than a third of the tolerance, so that two thirds of it are left in which a circle
    conforms.

    Accepted s.d.: the standard deviation of one cell that you know from earlier work. Left empty, 0.05 arc seconds
    are assumed.

    Positions may also be given by the angle between them; with the divisions of the circles it is checked that both
    can stop there.
    """
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (130, "-wide")]  # noqa: RUF012
    VERTICAL_BREAKPOINTS = [(0, "-low"), (40, "-high")]  # noqa: RUF012
    BINDINGS: ClassVar[list[BindingType]] = [
        *FIELD_KEYS,
        # With priority these act before the next key arrives; otherwise keys typed fast stay in the field before.
        Binding("enter", "enter", "Take the row", tooltip="from the fields: go to the table", priority=True),
        Binding("down", "go(1)", "Next", tooltip="the next field or row", show=False, priority=True),
        Binding("up", "go(-1)", "Back", tooltip="the field or row before", show=False, priority=True),
        Binding(
            "pagedown", "row(1)", "Row", tooltip="the next row, from any field", show=False, priority=True
        ),
        Binding("pageup", "row(-1)", "Row", tooltip="the row before", show=False, priority=True),
        Binding("ctrl+s,f10", "take", "New session", tooltip="with the row that is marked"),
        Binding("escape", "leave", "Leave"),
    ]
    DEFAULT_CSS = """
    PlanScreen {
        #title { height: 1; padding: 0 1; background: $panel; text-style: bold; }
        #numbers { layout: grid; grid-size: 3; grid-columns: 1fr; grid-rows: 1; height: 3; padding: 0 1; }
        #choices { layout: grid; grid-size: 2; grid-columns: 32 1fr; height: auto; padding: 0 1; }
        #choices Field { height: auto; }
        Field .label { width: 16; }
        #choices .label { width: 9; }
        #field-arrangement .label, #field-direction .label { width: 12; }
        Field Input { width: 8; }
        Field .note { display: none; padding: 0; width: 2; height: 1; }
        Field.-wrong .note { display: block; }
        .heading { height: 1; padding: 0 1; color: $text-muted; }
        #lower-heading { text-style: underline; }
        #about { height: auto; min-height: 4; padding: 0 1; background: $surface; }
        MessageLine { height: 1; }
        RowList.-stale { opacity: 60%; }
        &.-wide {
            #numbers { margin: 1 0; }
            #choices { grid-size: 3; grid-columns: 1fr; }
            #choices .label, #field-arrangement .label, #field-direction .label { width: 16; }
            Field Input { width: 10; }
            Field .note { display: block; padding: 0 1; width: 1fr; }
            MessageLine { margin: 1 0; }
            #about { padding: 1; min-height: 6; }
        }
        &.-wide.-high RowList { height: auto; max-height: 18; margin-bottom: 1; }
    }
    """

    def __init__(self, folder: Path, form: PlanForm | None = None) -> None:
        super().__init__()
        self._folder = folder
        self._initial = form or PlanForm()
        self._fields: tuple[Field, ...] = ()
        self._left: set[str] = set()
        self._looked: PlanForm | None = None
        self._checked = CheckedPlan(None)
        self._plan: Plan | None = None
        self._planning: Latest[Wanted] = Latest(self, lambda wanted: Planned(plan(wanted)))

    def compose(self) -> ComposeResult:
        """Lay out the fields, the table and what there is to say of a row."""
        yield Static(id="title", markup=False)
        for name, lines in (("numbers", NUMBERS), ("choices", CHOICES)):
            with Container(id=name):
                for line in lines:
                    yield Field(
                        line.name,
                        line.label,
                        getattr(self._initial, line.name),
                        hint=line.hint,
                        options=line.options or None,
                        ascii_only=self._ascii,
                    )
        yield MessageLine()
        yield Static(id="upper-heading", classes="heading", markup=False)
        yield Static(id="lower-heading", classes="heading", markup=False)
        yield RowList(ascii_only=self._ascii)
        yield Static(id="about", markup=False)
        yield Footer(compact=True, show_command_palette=False)

    def laid_out(self) -> None:
        """Plan with the figures as they stand."""
        self._fields = tuple(self.query(Field))
        self._look()

    @property
    def form(self) -> PlanForm:
        """The figures as they stand."""
        return PlanForm(**{field.field: field.value for field in self._fields})

    @property
    def computing(self) -> bool:
        """Whether the table is not that of the figures in the fields, or not yet."""
        return self._planning.busy or self._checked.wanted is None

    # From the fields to the table

    @on(Input.Changed)
    def _typed(self, event: Input.Changed) -> None:
        """Positions and step angle say the same thing: what is typed into one empties the other."""
        other = {"field-positions": "step", "field-step": "positions"}.get(_id_of_field(event.input))
        if other and event.input.has_focus and event.value:
            control = self._field(other).control
            if isinstance(control, Input):
                control.value = ""
        self._look()

    @on(Choice.Changed)
    def _look(self) -> None:
        form = self.form
        if form != self._looked:
            self._looked = form
            self._checked = check_plan(form)
            names = applies(form)
            for field in self._fields:
                field.disabled = field.field not in names
            if self._checked.wanted is None:
                self._planning.forget()
            else:
                self._planning.request(self._checked.wanted)
        for field in self._fields:
            if field.field in self._left or field.wrong:
                field.complain("see below" if field.field in self._checked.wrong else "")
        self._say()

    @on(DescendantBlur)
    def _left_field(self, event: DescendantBlur) -> None:
        field = event.widget.parent
        if isinstance(field, Field):
            self._left.add(field.field)
            self._look()

    @on(Planned)
    def _planned(self, planned: Planned) -> None:
        if self._planning.done():
            self._plan = planned.plan
            best = planned.plan.choices.index(planned.plan.recommended)
            self._show(best)

    def on_resize(self) -> None:
        """Fit the table to the width."""
        self.call_after_refresh(lambda: self._show(self.query_one(RowList).highlighted))

    def _show(self, at: int | None) -> None:
        """Show the plan, the cursor on row `at`."""
        made = self._plan
        if made is None:
            return
        found = self.query_one(RowList)
        width = found.scrollable_content_region.width - 2 - POINTER
        headings, rows = table(made, width, "..." if self._ascii else "…")
        with self.app.batch_update():
            for name, words in zip(("#upper-heading", "#lower-heading"), headings, strict=True):
                self.query_one(name, Static).update(self._sign(" " * POINTER + words), layout=False)
            found.show(
                [
                    Text(self._sign(row), "bold" if choice.recommended else "")
                    for choice, row in zip(made.choices, rows, strict=True)
                ],
                at,
            )
            self._about()
            self._say()

    @on(OptionList.OptionHighlighted)
    def _about(self) -> None:
        """Say of the row under the cursor why it is recommended, or why not, and which offsets it has."""
        made, at = self._plan, self.query_one(RowList).highlighted
        if made is None or at is None:
            return
        choice = made.choices[at]
        width = max(self.size.width - 2, 20)
        if choice.recommended:
            words = f"{RECOMMENDED} Recommended, {recommendation(choice)}"
        else:
            words = f"{choice.design.run_count} runs: {choice.reason}."
        told = Text(self._sign(words))
        if choice.design.closure == "dual":
            shown = cut(set_words(choice), width - len("Offsets "), "..." if self._ascii else "…")
            told = Text.assemble(("Offsets ", "dim"), self._sign(shown), "\n") + told
        self.query_one("#about", Static).update(told)

    def _say(self) -> None:
        """Say what is wrong, that the table is being worked out, or what the figures rest on."""
        line = self.query_one(MessageLine)
        self.query_one(RowList).set_class(self.computing, "-stale")
        if self._plan is not None:
            n = self._plan.wanted.design.positions
            title = f"Plan   {n} positions, {angle(Fraction(360, n))} apart"
            title += "   (the table is of the figures before)" if self._checked.wrong else ""
            self.query_one("#title", Static).update(self._sign(title), layout=False)
        if self._checked.wrong:
            name, wrong = next(iter(self._checked.wrong.items()))
            label = label_of(name).rstrip(" °″").removesuffix(" ±")
            kind = Said.REFUSED if name in self._left else Said.PLAIN
            line.say(self._sign(f"{label}: {wrong}"), kind)
        elif self.computing:
            line.say(self._sign("Working out the best offsets …"))
        elif self._checked.wanted is not None and self._checked.wanted.assumed:
            deviation = self._checked.wanted.standard_deviation
            line.say(self._sign(f"The standard deviation of a cell, {deviation:g}″, is assumed: type yours."))
        else:
            line.say(_LEGEND)

    def _field(self, name: str) -> Field:
        return next(field for field in self._fields if field.field == name)

    # What the keys do

    def action_enter(self) -> None:
        """Go from the fields to the table, or take the row under the cursor."""
        found = self.query_one(RowList)
        if self.focused is found:
            self.action_take()
        else:
            found.focus()

    def action_go(self, by: int) -> None:
        """Go to the next field or row, or to the one before."""
        found = self.query_one(RowList)
        if self.focused is found and not (by < 0 and not found.highlighted):
            self.action_row(by)
        elif by > 0:
            self.focus_next()
        else:
            self.focus_previous()

    def action_row(self, by: int) -> None:
        """Move the cursor of the table, wherever one types."""
        self.query_one(RowList).move(by)

    @on(OptionList.OptionSelected)
    def action_take(self) -> None:
        """Fill in the form of a new session with the row under the cursor."""
        found = self.query_one(RowList)
        if self.computing or self._plan is None or found.highlighted is None:
            self._left.update(self._checked.wrong)
            self._look()
            self.app.bell()
            return
        form = session_form(self.form, self._plan.choices[found.highlighted])
        self.app.push_screen(NewSessionScreen(self._folder, form), self._begun)

    def _begun(self, session: Session | None) -> None:
        if session is not None:
            self.dismiss(session)

    def action_leave(self) -> None:
        """Leave without a session."""
        self.dismiss(None)


def _id_of_field(line: Input) -> str:
    return (line.parent.id or "") if line.parent is not None else ""
