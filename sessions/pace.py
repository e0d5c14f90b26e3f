"""How long the rest will take at the present pace."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from itertools import pairwise
from statistics import median

#: Readings that make the present pace.
RECENT = 24


def seconds_left(times: Sequence[datetime], remaining: int) -> float | None:
    """Return the seconds that `remaining` readings will take at the median pace of the latest ones.

    The median leaves breaks and hasty repeats aside. None with fewer than three readings; a clock that was
    set back counts as no time.

    Parameters
    ----------
    times : sequence of datetime
        When readings were taken, in order.
    remaining : int
        Readings still planned.
    """
    recent = times[-RECENT:]
    gaps = [max((b - a).total_seconds(), 0.0) for a, b in pairwise(recent)]
    return median(gaps) * remaining if len(gaps) >= 2 else None


def duration_words(seconds: float) -> str:
    """Return a duration as a person would say it: "under a minute", "25 min", "2 h 10 min"."""
    minutes = round(seconds / 60)
    if minutes < 1:
        return "under a minute"
    if minutes < 60:
        return f"{minutes} min"
    hours, rest = divmod(minutes, 60)
    return f"{hours} h {rest} min" if rest else f"{hours} h"
