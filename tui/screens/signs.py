"""Screens that speak in signs, of which there is a plain ASCII set."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from textual.screen import Screen

from tui.streams import in_ascii
from tui.widgets.marks import Characters, characters

if TYPE_CHECKING:
    _Base = Screen[Any]
else:
    # No screen of its own: the style sheet follows the first one among the bases.
    _Base = object


class Signs(_Base):
    """Mixed into a screen: the set of signs that the program was started with."""

    @property
    def _ascii(self) -> bool:
        return bool(getattr(self.app, "ascii_only", False))

    @property
    def _signs(self) -> Characters:
        return characters(self._ascii)

    def _sign(self, text: str) -> str:
        """Return a text in these signs."""
        return in_ascii(text) if self._ascii else text
