"""When a reading is due that is taken after a time."""

from __future__ import annotations

from collections.abc import Callable
from math import ceil

from sessions.worksheets.sheet import Column
from sessions.worksheets.slot import Slot


class Due:
    """Counts the time of a column from its first reading.

    Parameters
    ----------
    clock : callable
        Seconds that only ever grow.
    """

    def __init__(self, clock: Callable[[], float]) -> None:
        self._clock = clock
        self._began: float | None = None
        self._rung: float | None = None

    def taken(self, slot: Slot) -> None:
        """Begin to count with the first reading of a column that has a time."""
        if isinstance(slot.item, Column) and slot.item.every and self._began is None:
            self._began = self._clock() - _seconds(slot, slot.item)

    def left(self, slot: Slot | None) -> float | None:
        """Return the seconds until a reading is due, 0 or less when it is; None where it has no time."""
        if slot is None or self._began is None or not isinstance(slot.item, Column) or not slot.item.every:
            return None
        return self._began + _seconds(slot, slot.item) - self._clock()

    def words(self, slot: Slot | None) -> str:
        """Return when a reading is due, "" where it has no time."""
        left = self.left(slot)
        if left is None:
            return ""
        minutes, seconds = divmod(max(0, ceil(left)), 60)
        return f"due in {minutes}:{seconds:02}" if left > 0 else "due now"

    def rings(self, slot: Slot | None) -> bool:
        """Whether a reading has just become due: true once for each."""
        left = self.left(slot)
        if left is None or left > 0 or slot is None or self._rung == slot.place:
            return False
        self._rung = slot.place
        return True


def _seconds(slot: Slot, column: Column) -> float:
    return column.places.index(slot.place or 0.0) * column.every
