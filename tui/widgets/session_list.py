"""The sessions of a folder, newest first, each on two lines; those that cannot be opened say why."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from rich.table import Table
from rich.text import Text
from textual.binding import Binding, BindingType

from sessions.clock import local_time
from tui.since import since
from tui.streams import in_ascii
from tui.widgets.pointed import POINTER, Pointed

if TYPE_CHECKING:
    from rich.console import OverflowMethod

    from sessions.folder import Listing

_BAR = 10


class SessionList(Pointed):
    """Lists sessions."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding(
            "enter",
            "select",
            "Resume",
            tooltip="go on with the session under the cursor",
        ),
        Binding("up", "cursor_up", "Choose", tooltip="the session above or below", show=False),
        Binding("down", "cursor_down", "Choose", tooltip="the session above or below", show=False),
    ]
    DEFAULT_CSS = """
    SessionList > .option-list--option-disabled { text-style: dim; color: $foreground; }
    """

    def __init__(self, *, ascii_only: bool = False) -> None:
        super().__init__(ascii_only=ascii_only)
        self._listings: tuple[Listing, ...] = ()
        self._bar = "#." if ascii_only else "━┄"
        self._words = in_ascii if ascii_only else str
        self._overflow: OverflowMethod = "crop" if ascii_only else "ellipsis"
        self._now = local_time()

    def show(self, listings: Sequence[Listing], now: datetime, mark: Path | None = None) -> None:
        """Show these sessions; the cursor goes to `mark`, else stays on its file, else is on the first that opens."""
        before = mark or self.chosen
        # Files that cannot be opened come last: they are in nobody's way there.
        self._listings = tuple(sorted(listings, key=lambda listing: bool(listing.problem)))
        self._now = now
        good = [index for index, listing in enumerate(self._listings) if not listing.problem]
        same = [index for index in good if self._listings[index].path == before]
        bad = frozenset(range(len(self._listings))).difference(good)
        self.draw(len(self._listings), next(iter(same + good), None), disabled=bad)

    @property
    def chosen(self) -> Path | None:
        """The file under the cursor."""
        if self.highlighted is None or self.highlighted >= len(self._listings):
            return None
        return self._listings[self.highlighted].path

    def drawn(self, index: int) -> Table:
        """Return title and progress, below them file, circles and age; or why a file cannot be opened."""
        listing = self._listings[index]
        drawn = Table.grid(expand=True)
        drawn.add_column(width=POINTER)
        drawn.add_column(ratio=1)
        if listing.problem:
            reason = listing.problem.replace(str(listing.path), listing.path.name)
            drawn.add_row("! ", Text(self._words("cannot be opened: " + reason)))
            return drawn
        drawn.add_column(justify="right", no_wrap=True)
        done = listing.filled * _BAR // listing.planned
        bar = self._bar[0] * done + self._bar[1] * (_BAR - done)
        drawn.add_row(
            self.pointer(index),
            Text(listing.title or listing.path.stem, "bold", no_wrap=True, overflow=self._overflow),
            f"  {listing.filled} of {listing.planned} cells  {bar}",
        )
        about = Text(f"{listing.path.name}  {listing.circles}", "dim", no_wrap=True, overflow=self._overflow)
        drawn.add_row("", about, Text("  " + since(listing.touched, self._now), "dim", no_wrap=True))
        return drawn
