"""Computing off the screen's thread: one job in flight, of those asked for meanwhile only the newest is done."""

from __future__ import annotations

from collections.abc import Callable
from typing import Generic, TypeVar

from textual.message import Message
from textual.widget import Widget

J = TypeVar("J")


class Latest(Generic[J]):
    """The one worker behind a screen.

    Parameters
    ----------
    owner : Widget
        Where workers run and their messages go.
    work : callable
        Does a job, on a thread of its own, and returns the message that carries what came of it.
    """

    def __init__(self, owner: Widget, work: Callable[[J], Message]) -> None:
        self._owner = owner
        self._work = work
        self._waiting: Callable[[], J] | None = None
        self._wanted = False
        self.busy = False

    def request(self, job: J) -> None:
        """Ask for a job; it takes the place of any that waits."""
        self.request_late(lambda: job)

    def request_late(self, job: Callable[[], J]) -> None:
        """Ask for a job that is made, on the screen's thread, when its work begins; one passed over never is."""
        self._waiting = job
        if not self.busy:
            self._begin(job)

    def forget(self) -> None:
        """Let whatever waits or is under way be of no interest any more."""
        self._waiting = None
        self._wanted = False

    def done(self) -> bool:
        """Note, on the screen's thread, that a message arrived; return whether nothing newer was asked for."""
        self.busy = False
        if self._waiting is None:
            return self._wanted
        self._begin(self._waiting)
        return False

    def _begin(self, waiting: Callable[[], J]) -> None:
        job = waiting()
        self._waiting = None
        self.busy = self._wanted = True
        self._owner.run_worker(lambda: self._run(job), thread=True, group="latest", exit_on_error=True)

    def _run(self, job: J) -> None:
        self._owner.post_message(self._work(job))
