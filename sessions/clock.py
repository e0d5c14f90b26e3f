"""The clock of the computer."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime

Clock = Callable[[], datetime]


def local_time() -> datetime:
    """Return the time of the computer's clock with the local offset from UTC."""
    return datetime.now(UTC).astimezone()
