"""The worksheets of a session: which are done, and what they said."""

from __future__ import annotations

from typing import ClassVar

from rich.table import Table
from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.screen import Screen
from textual.widgets import Footer, OptionList, Static
from textual.widgets.option_list import Option

from sessions.session import Session
from sessions.worksheets.standing import Standing, standings
from tui.screens.laid_out import LaidOut
from tui.screens.leave_once import LeaveOnce
from tui.screens.signs import Signs
from tui.screens.worksheet import WorksheetScreen
from tui.widgets.findings import written
from tui.widgets.options import Options

#: The sign before a verdict, so that it does not hang on a colour.
_MARKS = {"passes": "+", "does not pass": "!", "not decided": "?", "not done": " "}
#: Room for a verdict, or for the date and time below it.
_WHEN = 18


class WorksheetList(Options):
    """The list; the worksheet under the cursor is marked by a sign of its own."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "select", "Open", tooltip="the worksheet under the cursor"),
        Binding("up", "cursor_up", "Choose", tooltip="the worksheet above or below", show=False),
        Binding("down", "cursor_down", "Choose", tooltip="the worksheet above or below", show=False),
    ]
    DEFAULT_CSS = """
    WorksheetList {
        background: $background; border: none; padding: 0; margin: 1 0; height: 1fr; max-width: 118;
    }
    WorksheetList:focus { border: none; background-tint: $background 0%; }
    WorksheetList > .option-list--option { padding: 0 1; }
    """


class WorksheetsScreen(LaidOut, Signs, LeaveOnce, Screen[None]):
    """Lists the setup worksheets; Enter opens one.

    Parameters
    ----------
    session : Session
        Open; it stays open when this screen is left.
    """

    TITLE = "Setting up the bench"
    HELP = """Worksheets for setting up, in the order in which a bench is set up; do those that your bench needs, as
    often as you like. Each says what to do, takes what is read and says whether it passes. What is recorded goes into
    the session and into its certificate."""
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "leave", "Leave", tooltip="back to the readings"),
    ]
    DEFAULT_CSS = """
    WorksheetsScreen {
        #title { height: 1; padding: 0 1; background: $panel; text-style: bold; }
        #intro { height: auto; padding: 1 1 0 1; color: $text-muted; max-width: 100; }
        #said { height: auto; max-height: 2; padding: 0 1; }
    }
    """

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.session = session
        self._standings: tuple[Standing, ...] = ()
        self._marked: int | None = None

    def compose(self) -> ComposeResult:
        """Lay out the list."""
        yield Static(self.TITLE, id="title", markup=False)
        yield Static(
            "Worksheets in the order in which a bench is set up. Your local rules and the makers' instructions "
            "come first.",
            id="intro",
            markup=False,
        )
        yield WorksheetList()
        yield Static(id="said", markup=False)
        yield Footer(compact=True, show_command_palette=False)

    def laid_out(self) -> None:
        """Show the worksheets, the cursor on the first that is not done."""
        self._show()
        undone = [index for index, each in enumerate(self._standings) if each.latest is None]
        self.query_one(WorksheetList).highlighted = next(iter(undone), 0)
        self.query_one(WorksheetList).focus()

    def _show(self) -> None:
        options = self.query_one(WorksheetList)
        here = options.highlighted
        self._standings = standings(self.session.entries)
        self._marked = here
        options.set_options(Option(self._drawn(index)) for index in range(len(self._standings)))
        options.highlighted = here

    def _drawn(self, index: int) -> Table:
        standing = self._standings[index]
        drawn = Table.grid(expand=True)
        drawn.add_column(width=2)
        drawn.add_column(ratio=1)
        drawn.add_column(justify="right", no_wrap=True, width=_WHEN)
        pointer = ("> " if self._ascii else "▸ ") if index == self._marked else ""
        verdict = f"{_MARKS.get(standing.verdict, ' ')} {standing.verdict}"
        title = Text(f"{index + 1} {standing.worksheet.title}", "bold", no_wrap=True, overflow="ellipsis")
        drawn.add_row(pointer, title, Text(f"  {verdict}", "" if standing.latest else "dim"))
        about = standing.found or standing.worksheet.purpose
        when = "" if standing.latest is None else f"  {standing.latest.time:%Y-%m-%d %H:%M}"
        drawn.add_row(
            "", Text(self._sign(f"  {about}"), "dim", no_wrap=True, overflow="ellipsis"), Text(when, "dim")
        )
        return drawn

    def _sign(self, text: str) -> str:
        return written(text, self._ascii)

    @on(OptionList.OptionHighlighted)
    def _mark(self, event: OptionList.OptionHighlighted) -> None:
        before, self._marked = self._marked, event.option_index
        for index in {before, self._marked} - {None}:
            if index is not None:
                event.option_list.replace_option_prompt_at_index(index, self._drawn(index))

    @on(OptionList.OptionSelected)
    def _open(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        worksheet = self._standings[event.option_index].worksheet
        self.app.push_screen(WorksheetScreen(self.session, worksheet), self.back)

    def back(self, said: str | None) -> None:
        """Show what is done now."""
        self._show()
        self.query_one("#said", Static).update(self._sign(said or ""))

    def action_leave(self) -> None:
        """Go back to the readings."""
        self.dismiss(None)
