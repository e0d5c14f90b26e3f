"""One worksheet: what to do, what is read, what comes of it. The same screen for every worksheet."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import ClassVar

from rich.text import Text
from textual import events, on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.screen import Screen
from textual.widgets import Footer, Static

from sessions.session import Session
from sessions.worksheets.filling import Filling
from sessions.worksheets.proposed import amend_as_proposed
from sessions.worksheets.sheet import Column, Outcome, Proposal, Worksheet
from sessions.worksheets.slot import Slot
from sessions.worksheets.standing import latest_result
from solver.refused import Refused
from tui.due import Due
from tui.screens.ask import Confirm
from tui.screens.laid_out import LaidOut
from tui.screens.signs import Signs
from tui.screens.unsaved import Unsaved
from tui.typing import IN_THE_WAY, Key, TypedLine, doubt
from tui.widgets.bench import Said
from tui.widgets.paper import Paper
from tui.widgets.slots import SlotList

#: Columns and rows from which everything stands side by side, and rows that a picture needs besides.
_WIDE, _HIGH, _TALL = 110, 30, 42
_PAGE = 4


class WorksheetScreen(LaidOut, Signs, Unsaved, Screen[str]):
    """Fills in one worksheet and records it; gives what there is to say, "" if it was left untouched.

    Parameters
    ----------
    session : Session
        Where it is recorded.
    worksheet : Worksheet
        What is filled in.
    clock : callable, optional
        Seconds that only ever grow, for readings that are due after a time.
    """

    HELP = """Do what the steps say and type what is read, each number with Enter; the numeric keypad is enough. Enter
    alone takes what stands in brackets. Go up to a line and type to change it; paste a column to fill it. What comes
    of it shows at once. Nothing is in the record before you record it; a worksheet may be recorded as often as you
    like, and the latest counts."""
    LEAVING = ("Leave the worksheet?", "It is not recorded: what you typed here will be gone.")
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("r,f10", "record", "Record", tooltip="put the worksheet into the session"),
        Binding("asterisk", "take_back", "Undo", key_display="*", tooltip="what was typed last"),
        Binding("up", "move(-1)", "Line", tooltip="go up to another line to change it, and down again"),
        Binding(
            "down",
            "move(1)",
            "Line",
            tooltip="go up to another line to change it, and down again",
            show=False,
        ),
        Binding("pagedown", "scroll(1)", "Scroll the results", tooltip="down or up", show=False),
        Binding("pageup", "scroll(-1)", "Scroll the results", tooltip="down or up", show=False),
        Binding(
            "tab,slash", "guide", "What to do", tooltip="show or hide steps and caution on a small screen"
        ),
        Binding("escape", "leave", "Leave", tooltip="without recording"),
    ]
    DEFAULT_CSS = """
    WorksheetScreen #title { height: 1; padding: 0 1; background: $panel; }
    """

    def __init__(
        self, session: Session, worksheet: Worksheet, *, clock: Callable[[], float] = time.monotonic
    ) -> None:
        super().__init__()
        self.title = worksheet.title
        self.session = session
        self.filling = Filling(worksheet, session.header, latest_result(session.entries, worksheet))
        self.line = TypedLine()
        self._due = Due(clock)
        self._concluded = False

    def compose(self) -> ComposeResult:
        """Lay out title, worksheet and keys."""
        yield Static(id="title", markup=False)
        yield Paper(self.filling.worksheet, self.typed_key, self.pasted, ascii_only=self._ascii)
        yield Footer(compact=True, show_command_palette=False)

    def laid_out(self) -> None:
        """Show the worksheet as it stands."""
        self._fit(self.app.size.width, self.app.size.height)
        self._paper.focus_entry()
        self._show_all()
        if self.session.read_only:
            self._paper.say(f"Read-only: {self.session.read_only}. Nothing can be recorded.", Said.REFUSED)
        else:
            self._paper.say("Nothing is in the record before you record it.")
        if any(isinstance(slot.item, Column) and slot.item.every for slot in self.filling.slots):
            self.set_interval(1.0, self.tick)

    def on_resize(self, event: events.Resize) -> None:
        """Use the room that there is."""
        self._fit(event.size.width, event.size.height)
        self._show_all()

    def _fit(self, width: int, height: int) -> None:
        wide = width >= _WIDE and height >= _HIGH
        self._paper.set_class(wide, "-wide")
        self._paper.set_class(wide and height >= _TALL, "-tall")

    # Typing: every key comes here first, in order

    def typed_key(self, key: str, character: str | None) -> bool:
        """Handle a key of the entry line; return whether it was one."""
        match self.line.take(key, character):
            case Key.ENTER:
                self._enter()
            case Key.CHANGED:
                self._paper.show_entry(self.line.text, self.filling.here)
                self._paper.doubt(doubt(self.line.text))
            case Key.OTHER:
                return False
        return True

    def pasted(self, text: str) -> None:
        """Take a pasted column from the present line on; it is checked like typed numbers."""
        if self.line.text:
            self._paper.say(IN_THE_WAY.format(self.line.text), Said.REFUSED)
            return
        self._attempt(lambda: self._taken(self.filling.paste(text)))

    def _enter(self) -> None:
        if self.filling.here is None and not self.line.text:
            self._paper.say(self._finished())
            return
        here, typed = self.filling.here, self.line.text
        self.line.refused = not self._attempt(
            lambda: self._taken(self.filling.enter(self.line.reading()), here if typed else None)
        )

    def _taken(self, doubt: str, slot: Slot | None = None) -> None:
        self.line.clear()
        if slot is not None:
            self._due.taken(slot)
        self._show_all()
        self._paper.say(f"{doubt}." if doubt else "", Said.SUSPECT if doubt else Said.PLAIN)
        if doubt:
            self.app.bell()

    def _attempt(self, act: Callable[[], object]) -> bool:
        """Do something that may be refused; a refusal goes to the message line, and what was typed stays."""
        try:
            act()
        except Refused as refusal:
            self._paper.say(str(refusal), Said.REFUSED)
            self.app.bell()
            return False
        return True

    # Showing

    @property
    def _paper(self) -> Paper:
        return self.query_one(Paper)

    def _finished(self) -> str:
        if self.filling.complete:
            return "Everything is typed"
        return f"Still missing: {self.filling.missing[0].label}"

    def tick(self) -> None:
        """Say when the next reading is due, with the bell when it is."""
        slot = self.filling.here
        if self._due.rings(slot):
            self.app.bell()
        if self._due.words(slot):
            self._paper.tell(self._how(slot))

    def _show_all(self) -> None:
        """Show everything, in one repaint."""
        with self.app.batch_update():
            self._show_title()
            self._show_outcome()
            self._show_place()

    def _show_outcome(self) -> None:
        done, needed = self.filling.progress
        waiting = f"{needed - done} to type" + (", so far:" if self.filling.touched else ".")
        try:
            outcome = self.filling.outcome
        except Refused as refusal:
            outcome, waiting = Outcome(), f"! {refusal}"
        if outcome.verdict is not None and not self._concluded:
            # Where there is little room the results now matter more than the steps; a key brings those back.
            self._concluded = True
            self._paper.add_class("-guideless")
        self._paper.show_outcome(outcome, waiting)

    def _show_title(self) -> None:
        done, needed = self.filling.progress
        line = Text(no_wrap=True, overflow="ellipsis")
        line.append(self._sign(self.filling.worksheet.title), "bold")
        line.append(f"   {done} of {needed}   ")
        if self.session.read_only:
            line.append("read-only", "reverse")
        else:
            line.append(self.session.header.title or self.session.path.name, "dim")
        self.query_one("#title", Static).update(line, layout=False)

    def _show_place(self) -> None:
        slot = self.filling.here
        self._paper.show_lines(self.filling)
        self._paper.ask(self._finished() if slot is None else slot.label, self._how(slot))
        self._paper.show_entry(self.line.text, slot)

    def _how(self, slot: Slot | None) -> str:
        return "; ".join(part for part in (self._due.words(slot), "" if slot is None else slot.hint) if part)

    @on(SlotList.Chosen)
    def _choose(self, chosen: SlotList.Chosen) -> None:
        self._go(chosen.index)

    def _go(self, index: int) -> None:
        self.filling.go(index)
        with self.app.batch_update():
            self._show_place()

    # What the keys do

    def action_move(self, by: int) -> None:
        """Go to another line."""
        self._go(self.filling.place + by)

    def action_scroll(self, by: int) -> None:
        """Scroll the results."""
        self._paper.scroll_results(by * _PAGE)

    def action_guide(self) -> None:
        """Show or hide steps and caution."""
        self._paper.toggle_class("-guideless")

    def action_take_back(self) -> None:
        """Take back what is half typed, else what was typed last."""
        if self.line.clear():
            self._show_all()
            self._paper.say("The line is empty again.")
        elif self._attempt(self.filling.take_back):
            self._show_all()
            slot = self.filling.here
            self._paper.say("" if slot is None else f"Taken back: {slot.label}.")

    def action_record(self) -> None:
        """Record the worksheet, then offer what follows from it for the header."""
        if self.line.text:
            self._paper.say("A number is half typed. Enter takes it, Escape drops it.", Said.REFUSED)
            self.app.bell()
            return
        if not self.filling.complete:
            self._go(self.filling.slots.index(self.filling.missing[0]))
        self._attempt(self._record)

    def _record(self) -> None:
        proposals = self.filling.outcome.proposals
        entry = self.filling.record(self.session)
        self._offer(proposals, f"{self.title} recorded as entry {entry.number}: {entry.result['verdict']}.")

    def _offer(self, proposals: tuple[Proposal, ...], said: str) -> None:
        """Offer one change of the header after the other, then leave."""
        if not proposals:
            self.dismiss(said)
            return
        first, rest = proposals[0], proposals[1:]
        self.app.push_screen(
            Confirm(
                self._sign(first.question),
                yes="Yes, amend",
                no="No, leave it",
                note="The worksheet is recorded. This goes into the record as an amendment with its reason.",
            ),
            lambda yes: self._offer(rest, self._amend(first, said) if yes else said),
        )

    def _amend(self, proposal: Proposal, said: str) -> str:
        amended, words = amend_as_proposed(self.session, proposal)
        if not amended:
            self.app.bell()
        return f"{said} {words}"

    @property
    def unsaved(self) -> bool:
        """Whether something was typed that would be gone if the program ended."""
        return self.filling.touched or bool(self.line.text)

    def left(self, *, unsaved: bool) -> str:
        """Return what the bench says of it."""
        return f"{self.title} left, not recorded." if unsaved else ""
