"""Solving off the screen's thread: one adjustment in flight, the newest readings win."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from textual.message import Message
from textual.widget import Widget

from sessions.analysis import Analysis, analyse
from sessions.matrix import Snapshot


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
    """

    def __init__(self, owner: Widget, newest: Callable[[], tuple[Snapshot, int]]) -> None:
        self._owner = owner
        self._newest = newest
        self.busy = False
        self._again = False

    def request(self) -> None:
        """Ask for an adjustment of the newest readings."""
        if self.busy:
            self._again = True
            return
        self.busy = True
        snapshot, version = self._newest()
        self._owner.run_worker(
            lambda: self._work(snapshot, version), thread=True, group="solving", exit_on_error=True
        )

    def done(self) -> None:
        """Note, on the screen's thread, that an adjustment arrived; begin the next if one was asked for."""
        self.busy = False
        if self._again:
            self._again = False
            self.request()

    def _work(self, snapshot: Snapshot, version: int) -> None:
        self._owner.post_message(Solved(analyse(snapshot), version))
