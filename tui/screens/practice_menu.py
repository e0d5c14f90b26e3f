"""The menu of the practice bench: the walk, and simulated benches from calm to tricky."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import ClassVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.screen import Screen
from textual.widgets import Footer, OptionList, Static

from sessions.design import Design
from sessions.names import free_path
from sessions.practice.begin import FILE, POSITIONS, begin, planned
from sessions.practice.parameters import USUAL_SLIPS, Parameters, new_seed
from sessions.session import Session
from solver.refused import Refused
from tui.screens.laid_out import LaidOut
from tui.screens.leave_once import LeaveOnce
from tui.screens.signs import Signs
from tui.screens.walk import WalkScreen
from tui.show import show
from tui.widgets.pointed import POINTER
from tui.widgets.row_list import ROW_KEYS, RowList

_INTRO = (
    "Nothing here can go wrong, and nothing has to be set up. A simulated stack of two tables with hidden errors "
    "shows its readings; you type them as at the bench, and at the end the truth stands beside what you found."
)
_MORE = (
    "Each bench is a session of its own, a file like any other, which you can leave and go on with later. "
    "“fullturn practice --help” tells how to get other plans, larger errors, or the same stack again by its seed."
)


@dataclass(frozen=True, slots=True)
class _Bench:
    """A bench to choose: its name, what it is like, and how it comes out of a seed."""

    name: str
    about: str
    parameters: Callable[[int], Parameters]


_BENCHES = (
    _Bench("A calm bench", "scatter only", lambda seed: Parameters(seed).calm),
    _Bench("An ordinary bench", "drift, disturbed air, a tooth that seats badly", Parameters),
    _Bench(
        "A bench with slips",
        "all that, and an assistant who makes mistakes",
        lambda seed: replace(Parameters(seed), slips=USUAL_SLIPS),
    ),
)


class PracticeMenu(LaidOut, Signs, LeaveOnce, Screen[Session | None]):
    """Asks what to practise; gives the session of a bench, or None if left.

    Parameters
    ----------
    folder : Path
        Where the session files go.
    """

    TITLE = "Practice"
    HELP = """
    Begin with the walk if closure is new to you: it explains in eight pages why two unknown tables calibrate each
    other. Then take a bench. The prompt says what to set; the simulated instrument shows what it then reads; type that
    and press Enter. When all is read, e shows the true errors beside the solved ones, with their uncertainty, and what
    was missed.
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "choose", "Choose", priority=True),
        *ROW_KEYS,
        Binding("escape", "leave", "Leave"),
    ]
    DEFAULT_CSS = """
    PracticeMenu {
        align: center top;
        #title { height: 1; padding: 0 1; background: $panel; text-style: bold; }
        .text { max-width: 90; padding: 1 2 0 2; height: auto; }
        .more { color: $text-muted; }
        RowList { height: auto; max-width: 90; margin: 1 1 0 1; }
    }
    """

    def __init__(self, folder: Path) -> None:
        super().__init__()
        self._folder = folder

    def compose(self) -> ComposeResult:
        """Lay out the choices."""
        yield Static(self.TITLE, id="title", markup=False)
        yield Static(_INTRO, classes="text", markup=False)
        yield RowList(ascii_only=self._ascii)
        yield Static(self._sign(_MORE), classes="text more", markup=False)
        yield Footer(compact=True, show_command_palette=False)

    def laid_out(self) -> None:
        """Show the choices."""
        design = planned(Design(POSITIONS, ()))
        rows = [("Why closure works", "a short walk, before the first bench")]
        rows += [(bench.name, f"{design.planned_cells} readings; {bench.about}") for bench in _BENCHES]
        choices = self.query_one(RowList)
        choices.show(
            [Text.assemble((name, "bold"), f"\n{' ' * POINTER}", (about, "dim")) for name, about in rows], 0
        )
        choices.focus()

    def action_row(self, by: int) -> None:
        """Move the cursor."""
        self.query_one(RowList).move(by)

    @on(OptionList.OptionSelected)
    def action_choose(self) -> None:
        """Begin what stands under the cursor."""
        at = self.query_one(RowList).highlighted
        if at is None:
            return
        if at == 0:
            self.app.push_screen(WalkScreen())
            return
        try:
            session = begin(
                free_path(self._folder, FILE), Design(POSITIONS, ()), _BENCHES[at - 1].parameters(new_seed())
            )
        except Refused as refused:
            show(refused, self.app)
        else:
            self.dismiss(session)

    def action_leave(self) -> None:
        """Leave without a bench."""
        self.dismiss(None)
