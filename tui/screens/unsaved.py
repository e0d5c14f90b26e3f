"""Screens on which something is typed that is recorded later: they are not left without a question."""

from __future__ import annotations

from typing import ClassVar

from tui.screens.leave_once import LeaveOnce


class Unsaved(LeaveOnce):
    """Mixed into such a screen; Escape and the end of the program ask alike."""

    #: What is asked, and what would be gone.
    LEAVING: ClassVar[tuple[str, str]]

    @property
    def unsaved(self) -> bool:
        """Whether something would be gone if this screen were left now."""
        raise NotImplementedError

    def left(self, *, unsaved: bool) -> str | None:  # noqa: ARG002
        """Return the answer of this screen when it is left, with something `unsaved` or not."""
        return None

    def action_leave(self) -> None:
        """Leave; ask first if something would be gone."""
        if not self.unsaved:
            self.dismiss(self.left(unsaved=False))
            return
        # Imported here: the program knows this screen before its first paint.
        from tui.screens.ask import Confirm

        question, note = self.LEAVING
        self.app.push_screen(Confirm(question, yes="Leave it", no="Stay", note=note), self._leave_if)

    def _leave_if(self, sure: bool | None) -> None:
        if sure:
            self.dismiss(self.left(unsaved=True))
