"""The end of a practice session: the truth beside what was solved, and what was missed."""

from __future__ import annotations

from typing import ClassVar

from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.screen import Screen
from textual.widgets import Footer, Static

from sessions.practice.debrief import Debrief
from tui.screens.laid_out import LaidOut
from tui.screens.leave_once import LeaveOnce
from tui.screens.signs import Signs
from tui.truth_words import OUTSIDE, TruthTable, judgement, summary
from tui.widgets.square_bar import square_bars


class TruthScreen(LaidOut, Signs, LeaveOnce, Screen[None]):
    """Shows the debrief of a practice session.

    Parameters
    ----------
    found : Debrief
        What the session came to.
    title : str
        Its title.
    decimals : int
        Digits after the point of a reading.
    """

    TITLE = "The truth"
    HELP = """
    The true errors of the simulated circles, beside those that your readings gave and their expanded uncertainty U.
    With U stated at 95.45 % about one error in twenty lies outside, marked !, without anything being wrong. Many more
    outside mean that something spoilt the readings and was not noticed.

    Above the table stands what became of each slip: put right (struck, taken again, or the run split where the mirror
    was knocked), flagged by the program and left, kept on purpose, or missed.
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,enter,e,q", "leave", "Back", key_display="Esc", tooltip="to the readings"),
    ]
    DEFAULT_CSS = """
    TruthScreen {
        #title { height: 1; padding: 0 1; background: $panel; text-style: bold; }
        VerticalScroll { padding: 1 2; height: 1fr; }
        .words { max-width: 100; }
        .judgement { margin-top: 1; max-width: 100; }
        .table { margin-top: 1; text-wrap: nowrap; }
    }
    """

    def __init__(self, found: Debrief, title: str, *, decimals: int) -> None:
        super().__init__()
        self._found = found
        self._title = title
        self._decimals = decimals

    def compose(self) -> ComposeResult:
        """Lay out the words and the table."""
        signs = self._signs
        yield Static(self._sign(f"{self.TITLE}   {self._title}"), id="title", markup=False)
        with VerticalScroll():
            yield Static(self._sign("\n".join(summary(self._found, signs))), classes="words", markup=False)
            judged = judgement(self._found, signs, self._decimals)
            if judged:
                yield Static(self._sign("\n".join(judged)), classes="judgement", markup=False)
            yield Static(self._table(), classes="table")
        yield Footer(compact=True, show_command_palette=False)

    def laid_out(self) -> None:
        """Let the arrow keys scroll."""
        page = self.query_one(VerticalScroll)
        if self._ascii:
            square_bars(page)
        page.focus()

    def _table(self) -> Text:
        table = TruthTable(self._found, self._signs)
        upper, lower = (self._sign(line) for line in table.headings)
        about = f"position error about the mean, {self._signs.arcsec}; {OUTSIDE} not within U"
        drawn = Text.assemble((f"{about}\n{upper}\n", "dim"), (lower, "dim underline"))
        for row in table.rows:
            drawn.append("\n")
            drawn.append(self._sign(row), "bold" if row.find(OUTSIDE) >= 0 else "")
        return drawn

    def action_leave(self) -> None:
        """Go back to the readings."""
        self.dismiss(None)
