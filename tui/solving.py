"""Solving the newest readings: in place while that is quick, else beside the screen."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from time import thread_time

from textual.message import Message
from textual.widget import Widget

from sessions.analysis import Analysis, analyse
from sessions.matrix import Snapshot
from tui.latest import Latest

#: Seconds of work within which an adjustment is made in place, so that the verdict is painted with the reading.
QUICK = 0.010


@dataclass
class Solved(Message):
    """An adjustment is ready."""

    analysis: Analysis


class Solving:
    """The one solver behind a screen.

    Parameters
    ----------
    owner : Widget
        Where workers run and `Solved` messages go, which it hands to `done`.
    newest : callable
        Returns the newest readings; called on the screen's thread, only when a solve begins.
    show : callable
        Shows an analysis of the newest readings; called on the screen's thread.
    """

    def __init__(
        self, owner: Widget, newest: Callable[[], Snapshot], show: Callable[[Analysis], None]
    ) -> None:
        self._newest = newest
        self._show = show
        self._seconds = float("inf")
        self._beside: Latest[Snapshot] = Latest(owner, lambda snapshot: Solved(self._timed(snapshot)))

    @property
    def busy(self) -> bool:
        """Whether an adjustment is under way beside the screen."""
        return self._beside.busy

    def request(self) -> None:
        """Ask for an adjustment of the newest readings: at once if the last one was quick, else in a thread."""
        if self.busy or self._seconds >= QUICK:
            self._beside.request_late(self._newest)
        else:
            self._show(self._timed(self._newest()))

    def done(self, solved: Solved) -> None:
        """Show an adjustment that arrived, unless a newer one was asked for."""
        if self._beside.done():
            self._show(solved.analysis)

    def _timed(self, snapshot: Snapshot) -> Analysis:
        # The thread's own time: beside a busy screen the clock would call every adjustment slow for ever.
        begin = thread_time()
        analysis = analyse(snapshot)
        self._seconds = thread_time() - begin
        return analysis
