"""The worksheets of a session: which are done, and what they said."""

from __future__ import annotations

from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.screen import Screen
from textual.widgets import Footer, OptionList, Static

from sessions.session import Session
from sessions.worksheets.standing import Standing, standings
from tui.screens.laid_out import LaidOut
from tui.screens.leave_once import LeaveOnce
from tui.screens.signs import Signs
from tui.screens.worksheet import WorksheetScreen
from tui.widgets.worksheet_list import WorksheetList


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

    def compose(self) -> ComposeResult:
        """Lay out the list."""
        yield Static(self.TITLE, id="title", markup=False)
        yield Static(
            "Worksheets in the order in which a bench is set up. Your local rules and the makers' instructions "
            "come first.",
            id="intro",
            markup=False,
        )
        yield WorksheetList(ascii_only=self._ascii)
        yield Static(id="said", markup=False)
        yield Footer(compact=True, show_command_palette=False)

    def laid_out(self) -> None:
        """Show the worksheets, the cursor on the first that is not done."""
        self._standings = standings(self.session.entries)
        undone = [index for index, each in enumerate(self._standings) if each.latest is None]
        worksheets = self.query_one(WorksheetList)
        worksheets.show(self._standings, next(iter(undone), 0))
        worksheets.focus()

    @on(OptionList.OptionSelected)
    def _open(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        worksheet = self._standings[event.option_index].worksheet
        self.app.push_screen(WorksheetScreen(self.session, worksheet), self.back)

    def back(self, said: str | None) -> None:
        """Show what is done now."""
        self._standings = standings(self.session.entries)
        worksheets = self.query_one(WorksheetList)
        worksheets.show(self._standings, worksheets.highlighted)
        self.query_one("#said", Static).update(self._sign(said or ""))

    def action_leave(self) -> None:
        """Go back to the readings."""
        self.dismiss(None)
