"""What still stands against something, each point in full, on a card that scrolls."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Static

from tui.screens.card import CARD
from tui.screens.laid_out import LaidOut
from tui.screens.leave_once import LeaveOnce
from tui.screens.signs import Signs
from tui.widgets.square_bar import square_bars


class StillOpen(LaidOut, Signs, LeaveOnce, ModalScreen[None]):
    """Lists points under their headings.

    Parameters
    ----------
    groups : sequence of (str, sequence of str)
        Heading and points; a group without points is left out.
    nothing : str
        What is said where there is no point at all.
    """

    TITLE = "What is still open"
    HELP = """Every point in full. The arrow keys scroll. Readings and flags are settled on the reading screen, the rest
    in the fields of the certificate, on the worksheets, in the budget, or by an amendment of the session."""
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f1", "app.help", "Help", tooltip="this page"),
        Binding("escape,enter,f8,ctrl+l", "leave", "Back"),
    ]
    DEFAULT_CSS = f"""StillOpen {{ {CARD}
        .card {{ width: 100; }}
        .heading {{ color: $primary; text-style: bold; margin-top: 1; }}
        .points {{ height: auto; }}
    }}"""

    def __init__(self, groups: Sequence[tuple[str, Sequence[str]]], nothing: str) -> None:
        super().__init__()
        self._groups = [(heading, points) for heading, points in groups if points]
        self._nothing = nothing

    def compose(self) -> ComposeResult:
        """Lay out the card."""
        with VerticalScroll(classes="card"):
            yield Static(self.TITLE, classes="question", markup=False)
            if not self._groups:
                yield Static(self._nothing, markup=False)
            for heading, points in self._groups:
                yield Static(heading, classes="heading", markup=False)
                for point in points:
                    yield Static(self._sign(f"– {point}"), classes="points", markup=False)
            yield Static("Esc leads back, F1 helps.", classes="keys", markup=False)

    def laid_out(self) -> None:
        """Let the arrow keys scroll."""
        page = self.query_one(VerticalScroll)
        if self._ascii:
            square_bars(page)
        page.focus()

    def action_leave(self) -> None:
        """Go back."""
        self.dismiss(None)
