"""The uncertainty budget on the screen: its lines, what each makes of a result, recorded as an entry."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import isinf
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.message import Message
from textual.screen import Screen
from textual.widgets import Footer, OptionList, Static

from sessions.analysis import Analysis, analyse
from sessions.budget import Budget, budget_of, record, scatter_line
from sessions.budget_form import read_probability
from sessions.budget_lines import starting_lines
from sessions.budget_view import Shown, shown
from sessions.certificate.numbers import significant
from sessions.certificate.words import effect_words
from sessions.circle_words import circle_words, item_names
from sessions.sentences import capital
from sessions.session import Session
from solver.budget import Line
from solver.refused import Refused
from tui.budget_rows import heading, row
from tui.latest import Latest
from tui.screens.ask import AskText
from tui.screens.budget_line import BudgetLineScreen
from tui.screens.laid_out import LaidOut
from tui.screens.signs import Signs
from tui.screens.unsaved import Unsaved
from tui.show import show
from tui.widgets.bench import MessageLine, Said
from tui.widgets.pointed import POINTER
from tui.widgets.row_list import RowList


@dataclass
class Worked(Message):
    """A budget is worked out."""

    analysis: Analysis
    budget: Budget
    shown: tuple[Shown, ...]


class BudgetScreen(LaidOut, Signs, Unsaved, Screen[None]):
    """Edits the budget of a session.

    Parameters
    ----------
    session : Session
        Open; it stays open when this screen is left.
    """

    TITLE = "Uncertainty budget"
    HELP = """
    What the results may be wrong by beside the scatter of the readings, which the first row holds. Enter changes a
    line. The share of each line is that in the variance of the result named at the bottom, which v changes. Nothing is
    counted twice: what the scatter holds already is listed and not counted. A line without a figure is open, and says
    so in the certificate. Recorded, the budget is an entry of the session, and the newest one counts.
    """
    LEAVING = ("Leave the budget?", "What you changed here is not recorded.")
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("a", "add", "Add"),
        Binding("d,delete", "remove", "Remove"),
        Binding("c", "count", "Count or not"),
        Binding("v", "view", "Result", tooltip="the next result to look at"),
        Binding("k", "coverage", "Coverage", tooltip="the coverage probability"),
        Binding("ctrl+s,f10", "record", "Record", tooltip="write the budget into the session"),
        Binding("escape", "leave", "Leave"),
    ]
    DEFAULT_CSS = """
    BudgetScreen {
        #title { height: 1; padding: 0 1; background: $panel; text-style: bold; }
        #state { height: 1; padding: 0 1; }
        #state.-open { color: $text-warning; text-style: bold; }
        #heading { height: 1; padding: 0 1; color: $text-muted; text-style: underline; }
        #about { height: 4; padding: 0 1; background: $surface; }
        MessageLine { background: $surface; text-style: bold; height: 2; }
    }
    """

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.session = session
        self._budget = Budget()
        self._recorded: Budget | None = None
        self._analysis: Analysis | None = None
        self._shown: tuple[Shown, ...] = ()
        self._view = 0
        self._working: Latest[Budget | None] = Latest(self, self._work)

    def compose(self) -> ComposeResult:
        """Lay out the table."""
        yield Static(self.TITLE, id="title", markup=False)
        yield Static(id="state", markup=False)
        yield Static(id="heading", markup=False)
        yield RowList(ascii_only=self._ascii)
        yield Static(id="about", markup=False)
        yield MessageLine(ascii_only=self._ascii)
        yield Footer(compact=True, show_command_palette=False)

    def laid_out(self) -> None:
        """Work out what is recorded, or what to begin with."""
        self.query_one(RowList).focus()
        try:
            self._recorded = budget_of(self.session.entries, self.session.header.design.positions)
        except Refused as refused:
            show(refused, self.app)
        self.query_one(MessageLine).say("Working it out …")
        self._working.request(self._recorded)

    @property
    def budget(self) -> Budget:
        """The budget as it stands on the screen."""
        return self._budget

    @property
    def working(self) -> bool:
        """Whether the figures are not yet those of the lines."""
        return self._working.busy

    @property
    def changed(self) -> bool:
        """Whether the lines are others than those recorded."""
        return self._analysis is not None and self._budget != (self._recorded or Budget())

    def _work(self, budget: Budget | None) -> Message:
        """Work out a budget, or the one to begin with, off the screen's thread."""
        analysis = self._analysis or analyse(self.session.matrix.snapshot(), screened=False)
        if budget is None:
            budget = Budget(lines=starting_lines(self.session.entries, analysis))
        return Worked(analysis, budget, shown(analysis, budget))

    @on(Worked)
    def _worked(self, worked: Worked) -> None:
        first = self._analysis is None
        self._analysis = worked.analysis
        if self._working.done():
            self._budget, self._shown = worked.budget, worked.shown
            self._view = min(self._view, max(len(self._shown) - 1, 0))
            self._show(0 if first else self.query_one(RowList).highlighted)

    # Showing

    def on_resize(self) -> None:
        """Fit the table to the width."""
        self.call_after_refresh(lambda: self._show(self.query_one(RowList).highlighted))

    @property
    def _lines(self) -> tuple[Line, ...]:
        """The scatter of the readings, then the lines."""
        if self._analysis is None:
            return ()
        return (scatter_line(self._analysis), *self._budget.lines)

    def _show(self, at: int | None) -> None:
        if self._analysis is None:
            return
        found, lines = self.query_one(RowList), self._lines
        width = max(self.size.width - 4 - POINTER, 60)
        # While they are worked out anew the shares are those of other lines.
        looked = self._shown[self._view] if self._shown and not self.working else None
        with self.app.batch_update():
            words = heading(width, ascii_only=self._ascii)
            self.query_one("#heading", Static).update(" " * POINTER + words, layout=False)
            found.show(
                [
                    row(line, number, looked, width, ascii_only=self._ascii)
                    for number, line in enumerate(lines)
                ],
                min(at or 0, len(lines) - 1),
            )
            self._about()
            self._say()

    @on(OptionList.OptionHighlighted)
    def _about(self) -> None:
        """Say how the line under the cursor enters, and where its figure is from."""
        at, lines = self.query_one(RowList).highlighted, self._lines
        if at is None or at >= len(lines):
            return
        line = lines[at]
        freedom = "" if isinf(line.freedom) else f", {line.freedom:.3g} degrees of freedom"
        place = circle_words(self.session.header)[-1].place if len(self._names) == 1 else "position"
        told = f"{line.name}: {effect_words(line, self._names, place)}{freedom}."
        if at == 0:
            told += " From the adjustment; it is always there."
        elif line.source:
            told += f" Source: {line.source}."
        self.query_one("#about", Static).update(self._sign(told))

    def _say(self) -> None:
        line = self.query_one(MessageLine)
        self._say_state()
        percent = 100 * self._budget.probability
        if not self._shown:
            line.say("No result is determined with its uncertainty yet.")
            return
        looked = self._shown[self._view]
        freedom = "∞" if isinf(looked.freedom) else f"{looked.freedom:.4g}"
        line.say(
            f"{looked.words}: u = {significant(looked.standard)}″, ν = {freedom}, k = {looked.factor:.2f}, "
            f"U = {significant(looked.expanded)}″ at {percent:.4g} %."
        )

    def _say_state(self) -> None:
        """Say whether the certificate counts these lines, and what to press so that it does."""
        open_ = self._recorded is None or self.changed
        if not open_:
            words = "Recorded: certificate and results count these lines."
        elif self._recorded is None:
            words = "Not recorded: the certificate counts type A alone until Ctrl+S (F10)."
        else:
            words = "Changed: the certificate counts the lines as they were until Ctrl+S (F10)."
        if open_ and self.session.read_only:
            words = words.partition(" until ")[0] + "; the session is only read."
        state = self.query_one("#state", Static)
        state.set_class(open_, "-open")
        state.update(self._sign(words))

    # What the keys do

    @on(OptionList.OptionSelected)
    def _edit(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        at = event.option_index
        if at == 0:
            self.query_one(MessageLine).say("The scatter follows from the readings.", Said.REFUSED)
            return
        number = self._marked()
        if number is None:
            return
        line = self._budget.lines[number]

        def put(changed: Line | None) -> None:
            if changed is not None:
                lines = list(self._budget.lines)
                lines[number] = changed
                self._take(tuple(lines))

        self.app.push_screen(BudgetLineScreen(line, self._positions, self._names), put)

    @property
    def _names(self) -> tuple[str, ...]:
        return item_names(self.session.header)

    @property
    def _positions(self) -> int:
        return self.session.header.design.positions

    def _take(self, lines: tuple[Line, ...]) -> None:
        self._budget = replace(self._budget, lines=lines)
        self._working.request(self._budget)

    def _marked(self) -> int | None:
        """Return the number of the line under the cursor; None for the scatter, and for one that is being removed."""
        at = self.query_one(RowList).highlighted
        if self._analysis is None or not at or at > len(self._budget.lines):
            self.app.bell()
            return None
        return at - 1

    def action_add(self) -> None:
        """Add a line."""

        def put(line: Line | None) -> None:
            if line is not None:
                self._take((*self._budget.lines, line))

        if self._analysis is not None:
            self.app.push_screen(BudgetLineScreen(None, self._positions, self._names), put)

    def action_remove(self) -> None:
        """Take the line under the cursor out."""
        at = self._marked()
        if at is not None:
            self._take(self._budget.lines[:at] + self._budget.lines[at + 1 :])

    def action_count(self) -> None:
        """Count the line under the cursor, or leave it out."""
        at = self._marked()
        if at is not None:
            lines = list(self._budget.lines)
            lines[at] = replace(lines[at], counted=not lines[at].counted)
            self._take(tuple(lines))

    def action_view(self) -> None:
        """Look at the next result."""
        if self._shown:
            self._view = (self._view + 1) % len(self._shown)
            self._show(self.query_one(RowList).highlighted)

    def action_coverage(self) -> None:
        """Ask for the coverage probability."""

        def put(text: str | None) -> None:
            if text is not None:
                self._budget = replace(self._budget, probability=read_probability(text))
                self._working.request(self._budget)

        if self._analysis is not None:
            asked = AskText(
                "Coverage probability, percent?",
                initial=f"{100 * self._budget.probability:.10g}",
                note="95.45 is usual: k = 2 with many degrees of freedom.",
                check=_wrong_probability,
            )
            self.app.push_screen(asked, put)

    def action_record(self) -> None:
        """Write the budget into the session."""
        if self._analysis is None or self.working:
            self.app.bell()
            return
        try:
            record(self.session, self._budget)
        except Refused as refused:
            show(refused, self.app)
            return
        self._recorded = self._budget
        self._say()

    @property
    def unsaved(self) -> bool:
        """Whether something was changed that would be gone if the program ended."""
        return self.changed and not (self._recorded is None and self._untouched)

    @property
    def _untouched(self) -> bool:
        """Whether the lines are still those proposed."""
        if self._analysis is None:
            return True
        return self._budget == Budget(lines=starting_lines(self.session.entries, self._analysis))


def _wrong_probability(text: str) -> str:
    try:
        read_probability(text)
    except Refused as refused:
        return f"{capital(refused.what)}."
    return ""
