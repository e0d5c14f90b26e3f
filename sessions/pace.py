"""How long the rest will take at the present pace."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from itertools import pairwise
from statistics import mean

#: Readings that make the present pace.
RECENT = 24
#: Seconds below which readings came in one go. Times are recorded in whole seconds.
_BURST = 1.0
#: A gap of more than so many times a usual one, which is this far up among all, is a break.
_BREAK, _USUAL = 10.0, 0.6


def seconds_left(times: Sequence[datetime], remaining: int) -> float | None:
    """Return the seconds that `remaining` readings will take at the mean pace of the latest ones.

    Breaks are left aside, and readings of the same second, which were pasted; the mean holds short repeats and long
    settings in the proportion in which they come. None while fewer than two gaps tell a pace.

    Parameters
    ----------
    times : sequence of datetime
        When readings were taken, in order.
    remaining : int
        Readings still planned.
    """
    gaps = sorted((b - a).total_seconds() for a, b in pairwise(times[-RECENT:]))
    gaps = [gap for gap in gaps if gap >= _BURST]
    if len(gaps) < 2:
        return None
    usual = gaps[int(_USUAL * (len(gaps) - 1))]
    return mean(gap for gap in gaps if gap <= _BREAK * usual) * remaining


def duration_words(seconds: float) -> str:
    """Return a duration as a person would say it: "under a minute", "25 min", "2 h 10 min"."""
    minutes = round(seconds / 60)
    if minutes < 1:
        return "under a minute"
    if minutes < 60:
        return f"{minutes} min"
    hours, rest = divmod(minutes, 60)
    return f"{hours} h {rest} min" if rest else f"{hours} h"
