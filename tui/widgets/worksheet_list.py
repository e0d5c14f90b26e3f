"""The worksheets of a session, each on two lines: what it said and when."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from rich.table import Table
from rich.text import Text
from textual.binding import Binding, BindingType

from sessions.worksheets.standing import Standing
from tui.streams import in_ascii
from tui.widgets.findings import mark_of
from tui.widgets.pointed import POINTER, Pointed

#: Room for a verdict, or for the date and time below it.
_WHEN = 18


class WorksheetList(Pointed):
    """Lists worksheets."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "select", "Open", tooltip="the worksheet under the cursor"),
        Binding("up", "cursor_up", "Choose", tooltip="the worksheet above or below", show=False),
        Binding("down", "cursor_down", "Choose", tooltip="the worksheet above or below", show=False),
    ]
    DEFAULT_CSS = """
    WorksheetList { margin: 1 0; max-width: 118; }
    """

    def __init__(self, *, ascii_only: bool = False) -> None:
        super().__init__(ascii_only=ascii_only)
        self._words = in_ascii if ascii_only else str
        self._standings: tuple[Standing, ...] = ()

    def show(self, standings: Sequence[Standing], at: int | None) -> None:
        """Show these worksheets, the cursor on number `at`."""
        self._standings = tuple(standings)
        self.draw(len(self._standings), at)

    def drawn(self, index: int) -> Table:
        """Return title and verdict, below them what was found or what the sheet is for, and when."""
        standing = self._standings[index]
        drawn = Table.grid(expand=True)
        drawn.add_column(width=POINTER)
        drawn.add_column(ratio=1)
        drawn.add_column(justify="right", no_wrap=True, width=_WHEN)
        verdict = f"{mark_of(standing.verdict)} {standing.verdict}"
        title = Text(f"{index + 1} {standing.worksheet.title}", "bold", no_wrap=True, overflow="ellipsis")
        drawn.add_row(self.pointer(index), title, Text(f"  {verdict}", "" if standing.latest else "dim"))
        about = self._words(f"  {standing.found or standing.worksheet.purpose}")
        when = "" if standing.latest is None else f"  {standing.latest.time:%Y-%m-%d %H:%M}"
        drawn.add_row("", Text(about, "dim", no_wrap=True, overflow="ellipsis"), Text(when, "dim"))
        return drawn
