"""Screens begin once they are laid out, and not at all if they were left before."""

from __future__ import annotations

from inspect import isawaitable
from typing import TYPE_CHECKING, Any

from textual.screen import Screen

if TYPE_CHECKING:
    _Base = Screen[Any]
else:
    _Base = object


class LaidOut(_Base):
    """Mixed into a screen whose `laid_out` needs what it is composed of.

    A screen that is left, or a program that ends, while the screen is being laid out takes its widgets away before it
    is said to be mounted.
    """

    @property
    def leaving(self) -> bool:
        """Whether the widgets are being taken away, or the program ends: nothing is left to show anything on."""
        return self._pruning or not self.app.is_running or self.app.return_code is not None

    async def on_mount(self) -> None:
        """Begin, if there is anything to begin with."""
        if self.children and self in self.app.screen_stack and not self.leaving:
            begun = self.laid_out()
            if isawaitable(begun):
                await begun

    def laid_out(self) -> Any:
        """Show what the screen begins with; called once, its widgets in place."""
        raise NotImplementedError
