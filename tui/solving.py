"""Solving beside the screen: one adjustment in flight, the newest readings win."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from time import thread_time

from textual.message import Message
from textual.widget import Widget

from sessions.analysis import Analysis, analyse
from sessions.matrix import Snapshot

#: Seconds of work within which an adjustment is made in place, so that the verdict is painted with the reading.
QUICK = 0.010


@dataclass
class Solved(Message):
    """An adjustment is ready; `version` is that of the readings it used."""

    analysis: Analysis
    version: int


class Solving:
    """The one solver behind a screen.

    Parameters
    ----------
    owner : Widget
        Where workers run and `Solved` messages go.
    newest : callable
        Returns the newest readings and their version; called on the screen's thread, only when a solve begins,
        so that readings typed while one is under way cost no snapshot.
    show : callable
        Shows an analysis of readings of a version; called on the screen's thread.
    """

    def __init__(
        self,
        owner: Widget,
        newest: Callable[[], tuple[Snapshot, int]],
        show: Callable[[Analysis, int], None],
    ) -> None:
        self._owner = owner
        self._newest = newest
        self._show = show
        self._seconds = float("inf")
        self.busy = False
        self._again = False

    def request(self) -> None:
        """Ask for an adjustment of the newest readings: at once if the last one was quick, else in a thread."""
        if self.busy:
            self._again = True
            return
        snapshot, version = self._newest()
        if self._seconds < QUICK:
            self._show(self._timed(snapshot), version)
            return
        self.busy = True
        self._owner.run_worker(
            lambda: self._work(snapshot, version), thread=True, group="solving", exit_on_error=True
        )

    def done(self, solved: Solved) -> None:
        """Show, on the screen's thread, an adjustment that arrived; begin the next if one was asked for."""
        self.busy = False
        self._show(solved.analysis, solved.version)
        if self._again:
            self._again = False
            self.request()

    def _work(self, snapshot: Snapshot, version: int) -> None:
        self._owner.post_message(Solved(self._timed(snapshot), version))

    def _timed(self, snapshot: Snapshot) -> Analysis:
        # The thread's own time: beside a busy screen the clock would call every adjustment slow for ever.
        begin = thread_time()
        analysis = analyse(snapshot)
        self._seconds = thread_time() - begin
        return analysis
