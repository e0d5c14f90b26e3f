"""The form of a new session: one page, each field checked, what results said as one types."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar, cast

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Container, Vertical, VerticalScroll
from textual.events import DescendantBlur
from textual.message import Message
from textual.screen import Screen
from textual.widgets import Button, Footer, Input, Static

from sessions.begin import begin
from sessions.equipment import CircleKind
from sessions.form_earlier import earlier_form, filled_in
from sessions.form_suits import by_hand_in, changed, suited
from sessions.names import file_name, free_path
from sessions.new import Checked, Form, applies, check, proposed_title
from sessions.prospect import prospect
from sessions.session import Session
from solver.refused import Refused
from tui.screens.form_line import Section
from tui.screens.form_page import CAUTIONS, SECTIONS, form_of, heading_for, lines, words_for
from tui.screens.laid_out import LaidOut
from tui.screens.signs import Signs
from tui.screens.unsaved import Unsaved
from tui.show import show
from tui.widgets.choice import Choice
from tui.widgets.field import FIELD_KEYS, Field
from tui.widgets.square_bar import square_bars

if TYPE_CHECKING:
    from tui.app import FullturnApp


@dataclass
class Earlier(Message):
    """An earlier session was looked for."""

    found: tuple[Form, str] | None


class Page(VerticalScroll, can_focus=False, inherit_bindings=False):
    """What scrolls; its keys move from field to field instead."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("pageup", "page_up", show=False),
        Binding("pagedown", "page_down", show=False),
    ]


class NewSessionScreen(LaidOut, Signs, Unsaved, Screen[Session | None]):
    """Asks what is to be measured and begins the session; gives it, or None if left.

    Parameters
    ----------
    folder : Path
        Where the session file goes.
    form : Form, optional
        What stands in the form at first.
    """

    TITLE = "New session"
    HELP = """
    Fill in what you know; every field has a sensible value or may be left empty. The line at the bottom says what
    the plan comes to. Nothing is written before you begin the session.

    Closure: dual compares two circles with each other and solves both; single compares the intervals of one circle
    with a fixed angle, which its closing on itself also gives.

    Reading: by position nothing is touched within a run and each reading belongs to one position of each circle; by
    interval the instrument is zeroed before each step and reads one interval against another.

    Arrangement: counter-rotating turns the upper circle back as the lower steps forward, so that the mirror always
    faces the instrument; face by face is a polygon on a table, the next face coming round at each step. Faces are
    numbered from 0 in the order in which they come round. Choosing a polygon chooses face by face, and the other way
    round, unless you chose otherwise before.

    Divisions: how many the whole circle has, if it stops at nothing between; the number of positions must divide it.
    Measured are the positions used, not the divisions between them.

    Offsets: how far the upper circle is shifted at the start of each run, in positions. Two offsets determine both
    circles only if their difference shares no factor with the number of positions; more, spread well, also show bad
    readings. The planner, p on the start screen, weighs them.

    Closing reading: one more at the end of each run, back at the start; it shows drift and knocks.

    Drift model: linear solves a steady drift of each run as well; without it a drift passes for an error of the lower
    circle that grows round it, and only the closing readings show it.

    Resolution and range: of the instrument. A reading off the last digit or beyond the range is then seen as typed.

    Polarity: + where the reading rises when the mirror turns the way the lower circle steps on. A worksheet of the
    session finds it.

    Accepted s.d.: the standard deviation of one cell that you know from earlier work. With it a bad reading shows
    from the second repeat on.
    """
    LEAVING = ("Leave the form?", "What you typed here will be gone.")
    BINDINGS: ClassVar[list[BindingType]] = [
        *FIELD_KEYS,
        Binding("ctrl+s,f10", "begin", "Begin the session", tooltip="check the form and write the file"),
        Binding(
            "f7", "fill", "As last time", tooltip="plan, circles and instrument of the newest session here"
        ),
        # With priority these move before the next key arrives; otherwise keys typed fast stay in the field before.
        Binding("down", "app.focus_next", "Next", tooltip="to the next field", show=False, priority=True),
        Binding("enter", "enter", "Next", tooltip="to the next field", show=False, priority=True),
        Binding("up", "app.focus_previous", "Back", tooltip="to the field before", show=False, priority=True),
        Binding("escape", "leave", "Leave"),
    ]
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (150, "-wide")]  # noqa: RUF012
    DEFAULT_CSS = """
    NewSessionScreen {
        .heading { color: $primary; text-style: bold; margin: 1 0 0 0; }
        #columns { height: auto; width: 100%; layout: vertical; max-width: 90; }
        #columns Vertical { height: auto; width: 100%; }
        .section { height: auto; width: 100%; }
        .cautions { color: $text-muted; max-width: 90; height: auto; }
        #begin { margin: 1 0; }
        Page { height: 1fr; padding: 0 2; }
        #outlook { height: auto; min-height: 3; max-height: 7; padding: 0 2; background: $surface; }
        &.-wide #columns { layout: horizontal; max-width: 170; }
        &.-wide #columns Vertical { width: 1fr; }
    }
    """

    def __init__(self, folder: Path, form: Form | None = None) -> None:
        super().__init__()
        self._folder = folder
        self._left: set[str] = set()
        self._initial = form or Form()
        self._fields: tuple[Field, ...] = ()
        self._shown: frozenset[str] = frozenset()
        self._looked: Form | None = None
        self._by_hand = by_hand_in(self._initial)
        self._checked = Checked(None, None)

    def compose(self) -> ComposeResult:
        """Lay out the page."""
        with Page():
            with Container(id="columns"):
                for side in ("left", "right"):
                    with Vertical():
                        for section in SECTIONS:
                            if section.side == side:
                                yield from self._section(section)
            yield Static("Before you start", classes="heading")
            yield Static(CAUTIONS, classes="cautions", markup=False)
            yield Button("Begin the session", id="begin", compact=True)
        yield Static(id="outlook", markup=False)
        yield Footer(show_command_palette=False)

    def _section(self, section: Section) -> ComposeResult:
        with Vertical(classes="section"):
            yield Static(section.heading, classes="heading", markup=False)
            for line in section.lines:
                yield Field(
                    line.name,
                    line.label,
                    getattr(self._initial, line.name),
                    hint=line.hint,
                    options=line.options or None,
                    ascii_only=self._ascii,
                )

    def laid_out(self) -> None:
        """Show what the form comes to as it stands."""
        if self._ascii:
            square_bars(self.query_one(Page))
        self._fields = tuple(self.query(Field))
        self._look()

    @property
    def form(self) -> Form:
        """The form as it stands."""
        if not self._fields:
            return self._initial
        return form_of({field.field: field.value for field in self._fields})

    @on(Input.Changed)
    @on(Choice.Changed)
    def _look(self) -> None:
        form = self.form
        if form != self._looked:
            form = self._bring_along(form)
            self._looked = form
            self._checked = check(form, self._now())
            self._show_what_applies(applies(form))
            self._call(form)
            outlook = self._outlook(form, self._checked)
            self.query_one("#outlook", Static).update(self._sign(outlook))
        for field in self._fields:
            if field.field in self._left or field.wrong:
                field.complain(self._checked.wrong.get(field.field, ""))

    def _bring_along(self, form: Form) -> Form:
        """Change along what suits a choice just made and was not set by hand; return the form as it then stands."""
        if self._looked is None:
            return form
        chosen = changed(self._looked, form)
        self._by_hand |= chosen
        along = suited(form, chosen, self._by_hand)
        for field in self._fields:
            if field.field in along:
                field.value = along[field.field]
        return replace(form, **along)

    def _call(self, form: Form) -> None:
        """Give fields and sections the words that suit the circles chosen."""
        words = words_for(form)
        for line, field in zip(lines(), self._fields, strict=True):
            field.call(*words.get(line.name, (line.label, line.hint)))
        for section, heading in zip(SECTIONS, self.query(".section > .heading").results(Static), strict=True):
            heading.update(heading_for(section.heading, form))

    def _show_what_applies(self, names: frozenset[str]) -> None:
        if names == self._shown:
            return
        self._shown = names
        for field in self._fields:
            field.display = field.field in names
        for section in self.query(".section"):
            section.display = any(field.display for field in section.query(Field))

    def _outlook(self, form: Form, checked: Checked) -> str:
        path = free_path(self._folder, file_name(form.title.strip() or proposed_title(form)))
        told = [f"File: {path.name}"]
        if checked.design is None:
            return "\n".join(["The plan is not right yet.", *told])
        result = prospect(checked.design, cast("CircleKind", form.upper_kind))
        cautions = [f"! {caution}" for caution in (*checked.ways_out, *result.cautions)]
        return "\n".join([result.summary, *cautions, *checked.used, *told])

    @on(DescendantBlur)
    def _left_field(self, event: DescendantBlur) -> None:
        field = event.widget.parent
        if isinstance(field, Field):
            self._left.add(field.field)
            self._look()

    def action_fill(self) -> None:
        """Fill in what nobody typed yet as the newest session of the folder was planned."""
        folder = self._folder
        self.run_worker(
            lambda: self.post_message(Earlier(earlier_form(folder))),
            thread=True,
            group="earlier",
            exit_on_error=True,
        )

    @on(Earlier)
    def _fill(self, earlier: Earlier) -> None:
        if earlier.found is None:
            self.app.notify("No session in this folder to take it from.", markup=False)
            return
        form, file = earlier.found
        filled = filled_in(self.form, form)
        for field in self._fields:
            field.value = getattr(filled, field.field)
        self.app.notify(f"Filled in as in {file}; what was typed stays.", markup=False)

    def action_enter(self) -> None:
        """Go on to the next field, or begin where that is what one stands on."""
        if isinstance(self.focused, Button):
            self.action_begin()
        else:
            self.focus_next()

    @on(Button.Pressed, "#begin")
    def action_begin(self) -> None:
        """Begin the session, or go to the first field that is wrong."""
        self._left.update(line.name for line in lines())
        self._look()
        checked = check(self.form, self._now())
        if checked.header is None:
            first = next(field for field in self._fields if field.field in checked.wrong)
            first.control.focus()
            self.app.bell()
            return
        try:
            session = begin(self._folder, checked.header, checked.used)
        except Refused as refused:
            show(refused, self.app)
            return
        self.dismiss(session)

    @property
    def unsaved(self) -> bool:
        """Whether something was typed that would be gone if the program ended."""
        return self.form != self._initial

    def _now(self) -> datetime:
        return cast("FullturnApp", self.app).clock().replace(microsecond=0)
