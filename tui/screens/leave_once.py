"""Screens are left once, however fast the keys come."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from textual.await_complete import AwaitComplete
from textual.screen import Screen

if TYPE_CHECKING:
    _Base = Screen[Any]
else:
    _Base = object


class LeaveOnce(_Base):
    """Mixed into a screen that gives an answer.

    Keys that were sent to a screen while it was being left still arrive there; a second answer would be given to
    nobody and would leave the screen below as well.
    """

    def dismiss(self, result: Any = None) -> AwaitComplete:
        """Leave with an answer, if this screen is still the one on top."""
        if not self.is_active:
            return AwaitComplete()
        left: AwaitComplete = super().dismiss(result)
        return left
