"""Finer steps: arcs of a session's circle read in fine steps after the runs round it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import ClassVar

from rich.table import Table
from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical, VerticalScroll
from textual.message import Message
from textual.screen import Screen
from textual.widgets import Footer, Input, Static

from sessions.counted import counted
from sessions.plan_arcs_form import CheckedFiner, FinerForm, check_finer
from sessions.session import Session
from sessions.subdivision import begun, refuse_finer, subdivide, take_back, unread
from solver.refused import Refused
from tui.latest import Latest
from tui.screens.ask import AskText
from tui.screens.laid_out import LaidOut
from tui.screens.leave_once import LeaveOnce
from tui.screens.signs import Signs
from tui.subdivide_rows import first_words, reason, rows
from tui.widgets.bench import MessageLine, Said
from tui.widgets.field import FIELD_KEYS, Field
from tui.widgets.square_bar import square_bars

_FIELDS = (
    ("steps", "Fine steps", "in an interval"),
    ("arcs", "Arcs", "all, or numbers from 0, like 0 3"),
    ("offsets", "Arc offsets", "in fine steps; good ones come up"),
)


@dataclass
class Looked(Message):
    """A form was looked through."""

    asked: FinerForm
    checked: CheckedFiner


class SubdivideScreen(LaidOut, Signs, LeaveOnce, Screen[bool]):
    """Adds runs over arcs to the plan of a session, or takes them away; gives whether the plan changed.

    Parameters
    ----------
    session : Session
        Open, of two circles read by "position"; it stays open when this screen is left.
    deviation : float
        Standard deviation of a cell, arc seconds; nan where it is not known.
    """

    TITLE = "Finer steps"
    HELP = """
    An arc is one interval of the circle; arc 0 begins at position 0. It is read in fine steps with the same two
    circles, in several runs: at arc offset 1 the upper circle stands one fine step further on than at 0. So each fine
    step of one circle meets several of the other, as round the circle, and its ends tie it to what is read there.
    Runs are taken arc by arc, each arc at all its offsets.

    Type how many fine steps an interval has, and good arc offsets are proposed. Others may be typed: what counts is
    that their differences are as different as can be. Offsets that are all multiples of 3, in an interval of 30 fine
    steps, leave errors open; that is said below as you type.

    Worst u is the standard uncertainty of the worst position inside the arcs from position 0, every planned cell read.

    Enter asks for a reason and adds the runs. As long as nothing is read over the last arcs, F8 takes them back.
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        *FIELD_KEYS,
        # With priority these act before the next key arrives; otherwise keys typed fast stay in the field before.
        Binding("enter", "take", "Add the arcs", tooltip="with a reason, which is recorded", priority=True),
        Binding("down", "app.focus_next", "Next", tooltip="the next field", show=False, priority=True),
        Binding("up", "app.focus_previous", "Back", tooltip="the field before", show=False, priority=True),
        Binding("f8", "take_back", "Take back arcs", tooltip="those over which nothing is read"),
        Binding("escape", "leave", "Leave", tooltip="with the plan as it is"),
    ]
    DEFAULT_CSS = """
    SubdivideScreen {
        #title { height: 1; padding: 0 1; background: $panel; text-style: bold; }
        #first { height: auto; padding: 1 1 1 1; max-width: 110; }
        #fields { height: auto; padding: 0 1; }
        #fields .label { width: 16; }
        #fields Input { width: 26; }
        VerticalScroll { height: 1fr; margin-top: 1; }
        #outlook { height: auto; min-height: 7; padding: 0 1; max-width: 110; background: $surface; }
        #outlook.-stale { opacity: 60%; }
    }
    """

    def __init__(self, session: Session, deviation: float) -> None:
        super().__init__()
        self.session = session
        refuse_finer(session.header)
        self._deviation = deviation
        self._asked = FinerForm()
        self._checked: CheckedFiner | None = None
        self._proposed = ""
        self._enter_waits = False
        held = begun(session) > 0
        self._looking: Latest[FinerForm] = Latest(
            self, lambda form: Looked(form, check_finer(session.header, form, held=held))
        )

    def compose(self) -> ComposeResult:
        """Lay out what finer steps are, the fields, and what they come to."""
        yield Static(f"{self.TITLE}   {self._sign(self.session.header.title)}", id="title", markup=False)
        yield Static(self._sign(first_words(self.session.header.design)), id="first", markup=False)
        design = self.session.header.design
        initial = {"steps": str(design.subdivision) if design.arcs else "", "arcs": "all", "offsets": ""}
        with Vertical(id="fields"):
            for name, label, hint in _FIELDS:
                yield Field(name, label, initial[name], hint=hint, ascii_only=self._ascii)
        with VerticalScroll(can_focus=False):
            yield Static(id="outlook", markup=False)
        yield MessageLine(ascii_only=self._ascii)
        yield Footer(compact=True, show_command_palette=False)

    def laid_out(self) -> None:
        """Begin with the number of steps."""
        if self._ascii:
            square_bars(self.query_one(VerticalScroll))
        self._field("steps").control.focus()
        self._look()

    def _field(self, name: str) -> Field:
        return self.query_one(f"#field-{name}", Field)

    @property
    def form(self) -> FinerForm:
        """The form as it stands; offsets that were only proposed are left empty."""
        typed = self._field("offsets").value
        return FinerForm(
            self._field("steps").value, self._field("arcs").value, "" if typed == self._proposed else typed
        )

    @property
    def computing(self) -> bool:
        """Whether what is shown is not that of the fields."""
        return self._looking.busy

    @on(Input.Changed)
    def _typed(self) -> None:
        if self._checked is None or self.form != self._asked:
            self._look()

    def _look(self) -> None:
        self._enter_waits = False
        self._asked = self.form
        self._looking.request(self._asked)
        self.query_one("#outlook", Static).set_class(True, "-stale")

    @on(Looked)
    def _looked(self, looked: Looked) -> None:
        if not self._looking.done() or looked.asked != self._asked:
            return
        self._checked = checked = looked.checked
        with self.app.batch_update():
            if not looked.asked.offsets:
                # Proposed anew with each number of steps, until the person types other offsets.
                self._proposed = checked.form.offsets
                # Where the person is just emptying the field, nothing is put into it.
                if not self._field("offsets").control.has_focus:
                    self._field("offsets").value = self._proposed
            for name, *_ in _FIELDS:
                wrong = checked.wrong.get(name, "")
                self._field(name).complain(wrong if self._field(name).value.strip() else "")
            self._show(checked)
        if self._enter_waits:
            self.action_take()

    def _show(self, checked: CheckedFiner) -> None:
        outlook = self.query_one("#outlook", Static)
        outlook.set_class(False, "-stale")
        if checked.found is None:
            empty = "Type how many fine steps an interval has." if not checked.form.steps.strip() else ""
            outlook.update(empty)
        else:
            table = Table.grid(padding=(0, 2))
            for name, words in rows(checked, self.session.header.design, self._deviation):
                table.add_row(name, self._sign(words), style="bold" if name == "Not determined" else "")
            outlook.update(table)
        self.query_one(MessageLine).say("")

    # What the keys do

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:  # noqa: ARG002
        """Offer to take arcs back only where there are some over which nothing is read."""
        return unread(self.session) > 0 if action == "take_back" else True

    def action_take(self) -> None:
        """Ask why, and add the runs; while it is still worked out, as soon as that is done."""
        if self.computing:
            self._enter_waits = True
            self.query_one(MessageLine).say("Working out what that gives.")
            return
        self._enter_waits = False
        checked = self._checked
        if checked is None or checked.found is None:
            name, words = next(iter(checked.wrong.items())) if checked else ("steps", "")
            field = self._field(name)
            field.complain(words)
            field.control.focus()
            self.query_one(MessageLine).say(self._sign(words), Said.REFUSED)
            self.app.bell()
            return
        steps = checked.found.design.subdivision
        more = f"{counted(checked.more_runs, 'run')} over arcs, {counted(checked.more_readings, 'reading')},"
        self.app.push_screen(
            AskText(
                f"Why are {more} added?"
                if checked.more_runs > 0
                else "Why are other runs over arcs planned?",
                initial=self._sign(reason(checked)),
                note=self._sign(
                    " ".join(("Some errors stay open.", *checked.loose))
                    if checked.loose
                    else "It goes into the record."
                ),
            ),
            lambda why: self._change(
                lambda because: subdivide(self.session, steps, checked.intervals, checked.offsets, because),
                why,
            ),
        )

    def action_take_back(self) -> None:
        """Ask why, and take away the arcs over which nothing is read."""
        design = self.session.header.design
        runs = unread(self.session) * design.ways
        what = "Why is the run over an arc" if runs == 1 else f"Why are the {runs} runs over arcs"
        self.app.push_screen(
            AskText(f"{what} taken away over which nothing is read?", initial="not needed after all"),
            lambda why: self._change(lambda because: take_back(self.session, because), why),
        )

    def action_leave(self) -> None:
        """Leave the plan as it is."""
        self.dismiss(False)

    def _change(self, record: Callable[[str], None], why: str | None) -> None:
        if why is None:
            return
        try:
            record(why)
        except Refused as refused:
            self.query_one(MessageLine).say(self._sign(str(refused)), Said.REFUSED)
            self.app.bell()
        else:
            self.dismiss(True)
