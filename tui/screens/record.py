"""The record of a session: everything that happened, in order."""

from __future__ import annotations

from typing import ClassVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.screen import Screen
from textual.widgets import Footer, Static

from sessions.session import Session
from tui.record_words import Kind, RecordWords, by_kind
from tui.screens.laid_out import LaidOut
from tui.screens.leave_once import LeaveOnce
from tui.screens.signs import Signs
from tui.widgets.line_list import LineList
from tui.widgets.row_list import ROW_KEYS


class RecordScreen(LaidOut, Signs, LeaveOnce, Screen[tuple[int, int] | None]):
    """Lists what happened; gives the run and step to go to, or None if left.

    Parameters
    ----------
    session : Session
        Open; it stays open when this screen is left.
    """

    TITLE = "Record"
    HELP = """Everything that happened in this session, in order: readings, strikes and what else was judged of them,
    notes, conditions, amendments and worksheets, each with its number and time. Nothing in it ever changes; what is
    struck stays here with its reason. Below the list stands the whole of the entry under the cursor."""
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "go", "Go there", tooltip="to the cell of the entry", priority=True),
        *ROW_KEYS,
        Binding("pagedown", "page(1)", "Page", tooltip="a page on or back", show=False, priority=True),
        Binding("pageup", "page(-1)", "Page", tooltip="a page on or back", show=False, priority=True),
        Binding("right,tab", "kind(1)", "Kind", tooltip="only entries of one kind, or all", priority=True),
        Binding(
            "left,shift+tab",
            "kind(-1)",
            "Kind",
            tooltip="only entries of one kind, or all",
            show=False,
            priority=True,
        ),
        Binding("escape,l", "leave", "Leave", tooltip="back to the bench"),
    ]
    DEFAULT_CSS = """
    RecordScreen {
        #title { height: 1; padding: 0 1; background: $panel; text-style: bold; }
        #kinds { height: auto; padding: 0 1; }
        #more { height: auto; max-height: 40%; min-height: 1; padding: 0 1; background: $surface; }
    }
    """

    def __init__(self, session: Session) -> None:
        super().__init__()
        self._session = session
        self._places = by_kind(session.entries)
        self._kind = Kind.ALL

    def compose(self) -> ComposeResult:
        """Lay out the kinds, the list and the entry under the cursor."""
        self._words = RecordWords(self._session.entries, self._session.matrix, self._signs)
        yield Static(self._sign(f"{self.TITLE}   {self._session.header.title}"), id="title", markup=False)
        yield Static(id="kinds", markup=False)
        yield LineList(lambda place: self._sign(self._words.line(place)), self._signs)
        yield Static(id="more", markup=False)
        yield Footer(compact=True, show_command_palette=False)

    def laid_out(self) -> None:
        """Show everything, the newest under the cursor."""
        self.query_one(LineList).focus()
        self._show()

    def _show(self) -> None:
        drawn = Text()
        for kind in Kind:
            if self._places[kind] or kind is self._kind:
                words = f"{kind.value} {len(self._places[kind])}"
                drawn.append(
                    f"[{words}]" if kind is self._kind else f" {words} ", "bold" if kind is self._kind else ""
                )
                drawn.append(" ")
        self.query_one("#kinds", Static).update(drawn)
        self.query_one(LineList).show(self._places[self._kind])

    @on(LineList.Moved)
    def _about(self) -> None:
        place = self.query_one(LineList).item
        words = "Nothing is recorded yet." if place is None else self._sign(self._words.more(place))
        self.query_one("#more", Static).update(words)

    # What the keys do

    def action_row(self, by: int) -> None:
        """Move the cursor."""
        self.query_one(LineList).move(by)

    def action_page(self, by: int) -> None:
        """Move the cursor by a page."""
        lines = self.query_one(LineList)
        lines.move(by * lines.page)

    def action_kind(self, by: int) -> None:
        """Narrow the list to the next kind of which there is any."""
        kinds = [kind for kind in Kind if kind is Kind.ALL or self._places[kind]]
        self._kind = kinds[(kinds.index(self._kind) + by) % len(kinds)]
        self._show()

    def action_go(self) -> None:
        """Go to the cell of the entry under the cursor, if it has one."""
        place = self.query_one(LineList).item
        cell = None if place is None else self._words.place_of(place)
        if cell is None:
            self.query_one("#more", Static).update("There is no cell to go to from here.")
            self.app.bell()
        else:
            self.dismiss(cell)

    def action_leave(self) -> None:
        """Leave to the bench."""
        self.dismiss(None)
