"""Screens of several panes, of which a narrow terminal shows one at a time."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, ClassVar

from textual.screen import Screen

if TYPE_CHECKING:
    _Base = Screen[Any]
else:
    _Base = object


class Paned(_Base):
    """Mixed into such a screen; its style sheet shows the pane that its class `-pane-…` names."""

    #: Names of the panes, the first shown at first.
    PANES: ClassVar[tuple[str, ...]]

    pane: str

    def show_pane(self, pane: str) -> None:
        """Show a pane."""
        self.remove_class(f"-pane-{self.pane}")
        self.pane = pane
        self.add_class(f"-pane-{pane}")

    def action_next_pane(self) -> None:
        """Show the next pane."""
        self.show_pane(self.PANES[(self.PANES.index(self.pane) + 1) % len(self.PANES)])
