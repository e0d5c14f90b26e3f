"""What a strike or a split would change, tried on a copy."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from sessions.analysis import Analysis, analyse
from sessions.matrix import Snapshot
from sessions.reading_table import STRUCK


@dataclass(frozen=True, slots=True)
class WhatIf:
    """Before and after, arc seconds; nan where not determined.

    Parameters
    ----------
    deviation_before, deviation_after : float
        Residual standard deviation.
    freedom_after : int
        The degrees of freedom of the latter.
    change : float
        Largest change of a position error that is determined before and after, with its sign; nan where none is.
    circle : str
        "lower" or "upper", where that change is.
    position : int
        And at which position.
    lost : int
        Position errors that would no longer be determined.
    """

    deviation_before: float
    deviation_after: float
    freedom_after: int
    change: float
    circle: str
    position: int
    lost: int


def if_struck(snapshot: Snapshot, before: Analysis, *numbers: int) -> WhatIf:
    """Say what striking these readings, which count now, would change.

    Parameters
    ----------
    snapshot : Snapshot
        The readings.
    before : Analysis
        Their analysis.
    *numbers : int
        Entry numbers of the readings.
    """
    for number in numbers:
        snapshot = without(snapshot, number)
    return compare(before, analyse(snapshot, screened=False))


def if_split(snapshot: Snapshot, before: Analysis, run: int, step: int) -> WhatIf:
    """Say what a constant of its own from `step` of `run` on would change."""
    splits = tuple(sorted({*snapshot.splits, (run, step)}))
    return compare(before, analyse(replace(snapshot, splits=splits), screened=False))


def without(snapshot: Snapshot, number: int) -> Snapshot:
    """Return the snapshot as if reading `number` were struck."""
    place, readings = next(
        (place, readings)
        for place, readings in snapshot.cells.items()
        if any(reading.number == number for reading in readings)
    )
    left = tuple(
        replace(reading, status="struck") if reading.number == number else reading for reading in readings
    )
    relative = np.array([reading.value - snapshot.base[place[0]] for reading in left if reading.counts])
    count, mean, squares = snapshot.count.copy(), snapshot.mean.copy(), snapshot.squares.copy()
    count[place] = len(relative)
    mean[place] = relative.mean() if len(relative) else np.nan
    squares[place] = ((relative - relative.mean()) ** 2).sum() if len(relative) else 0.0
    return replace(
        snapshot,
        count=count,
        mean=mean,
        squares=squares,
        cells={**snapshot.cells, place: left},
        columns=replace(
            snapshot.columns,
            status=np.where(snapshot.columns.number == number, STRUCK, snapshot.columns.status),
        ),
        accepted=snapshot.accepted - 1,
        struck=snapshot.struck + 1,
        filled=snapshot.filled - (len(relative) == 0),
    )


def compare(before: Analysis, after: Analysis) -> WhatIf:
    """Compare two analyses of the same session."""
    change, circle, position, lost = np.nan, "", 0, 0
    for (name, old), (_, new) in zip(before.circles, after.circles, strict=True):
        difference = new.position.value - old.position.value
        known = np.isfinite(difference)
        lost += int(np.count_nonzero(np.isfinite(old.position.value) & ~known))
        if known.any():
            index = int(np.argmax(np.where(known, np.abs(difference), -1.0)))
            if not abs(difference[index]) <= abs(change):
                change, circle, position = float(difference[index]), name, index
    return WhatIf(
        deviation_before=before.adjustment.standard_deviation,
        deviation_after=after.adjustment.standard_deviation,
        freedom_after=after.adjustment.degrees_of_freedom,
        change=change,
        circle=circle,
        position=position,
        lost=lost,
    )
