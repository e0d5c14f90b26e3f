"""Which reading of a cell is meant: a small list to choose from."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from sessions.matrix import CellReading
from tui.screens.card import CARD
from tui.screens.laid_out import LaidOut
from tui.screens.leave_once import LeaveOnce
from tui.screens.signs import Signs
from tui.widgets.options import Options

#: The line for every reading listed, when the setting was wrong for each.
ALL = "all of them"


class CellScreen(LaidOut, Signs, LeaveOnce, ModalScreen[tuple[int, ...] | None]):
    """Choose one of several readings, or all of them: Enter gives the numbers, Escape gives None.

    Parameters
    ----------
    question : str
        What it is chosen for.
    readings : tuple of CellReading
        At least two.
    written : callable
        A reading's value as the matrix shows it.
    marked : tuple of int, optional
        Numbers of the readings marked at first: of several the line for all is. Without any the newest is.
    """

    TITLE = "Which reading"
    HELP = """The cell holds several readings. Move to the one that is meant, or to “all of them”, with the arrow keys
    or the mouse and press Enter; what happens with it was asked for before."""
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f1", "app.help", "Help", tooltip="this page"),
        Binding("escape", "leave", "Leave", tooltip="everything stays as it was"),
    ]
    DEFAULT_CSS = f"CellScreen {{ {CARD} }}"

    def __init__(
        self,
        question: str,
        readings: tuple[CellReading, ...],
        written: Callable[[CellReading], str],
        marked: tuple[int, ...] = (),
    ) -> None:
        super().__init__()
        self._question = question
        self._readings = readings
        self._written = written
        numbers = [reading.number for reading in readings]
        first = numbers.index(marked[0]) if marked and marked[0] in numbers else len(numbers) - 1
        self._marked = len(numbers) if len(marked) > 1 else first

    def compose(self) -> ComposeResult:
        """Lay out the question and a line for each reading."""
        with Vertical(classes="card"):
            yield Static(self._sign(self._question), classes="question", markup=False)
            lines = [*map(self._words, self._readings), ALL]
            yield Options(*[Option(Text(self._sign(line))) for line in lines])
            yield Static("Enter takes the marked one, Esc leaves all as it was, F1 helps.", classes="keys")

    def laid_out(self) -> None:
        """Mark the reading that is most likely meant."""
        self.query_one(OptionList).highlighted = self._marked

    @on(OptionList.OptionSelected)
    def _choose(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        numbers = tuple(reading.number for reading in self._readings)
        self.dismiss(numbers[event.option_index :][:1] or numbers)

    def action_leave(self) -> None:
        """Give None."""
        self.dismiss(None)

    def _words(self, reading: CellReading) -> str:
        reason = f", {reading.status}: {reading.reason}" if reading.reason else ""
        return f"{self._written(reading)}   at {reading.time:%H:%M:%S}, entry {reading.number}{reason}"
