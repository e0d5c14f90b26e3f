"""What may happen to a reading once it is taken: a table of status and event."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from sessions.matrix import Status
from solver.refused import Refused

Event = Literal["strike", "restore", "keep"]

#: From (status, event) to the next status; whatever is absent is refused.
TRANSITIONS: Mapping[tuple[Status, Event], Status] = {
    ("accepted", "strike"): "struck",
    ("accepted", "keep"): "kept",
    ("struck", "restore"): "accepted",
    ("kept", "strike"): "struck",
    ("kept", "restore"): "accepted",
}

#: Why the others are refused, and what to do instead.
REFUSALS: Mapping[tuple[Status, Event], tuple[str, str]] = {
    ("accepted", "restore"): ("is not struck or kept, so there is nothing to undo", "name a struck one"),
    ("struck", "strike"): ("is struck already", "name another, or restore it"),
    ("struck", "keep"): ("is struck", "restore it first"),
    ("kept", "keep"): ("is kept already", "strike it, or name another"),
}


def after(number: int, status: Status, event: Event) -> Status:
    """Return the status of reading `number` after an event.

    Raises
    ------
    Refused
        Where the event is not possible in this status.
    """
    if (status, event) in TRANSITIONS:
        return TRANSITIONS[status, event]
    why, remedy = REFUSALS[status, event]
    raise Refused(f"reading {number} {why}", remedy=remedy)
