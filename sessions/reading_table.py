"""All readings side by side in arrays, for what looks at every one of them at once."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sessions.entries import Reading

STRUCK, ACCEPTED, KEPT = 0, 1, 2


@dataclass(frozen=True, slots=True)
class Columns:
    """The readings, M of them, in the order typed.

    Parameters
    ----------
    number, run, step : (M,) int arrays
        Entry number and cell.
    value : (M,) array
        As typed, in the instrument's unit.
    status : (M,) int array
        STRUCK, ACCEPTED or KEPT.
    """

    number: NDArray[np.int64]
    run: NDArray[np.int64]
    step: NDArray[np.int64]
    value: NDArray[np.float64]
    status: NDArray[np.int64]


class ReadingTable:
    """The growing twin of `Columns`: adding and marking cost the same at any length."""

    def __init__(self) -> None:
        self._length = 0
        self._places = np.zeros((4, 64), dtype=np.int64)
        self._values = np.zeros(64)
        self._row: dict[int, int] = {}

    def add(self, reading: Reading) -> None:
        """Add a reading that counts."""
        row = self._length
        if row == len(self._values):
            self._places = np.concatenate([self._places, np.zeros_like(self._places)], axis=1)
            self._values = np.concatenate([self._values, np.zeros_like(self._values)])
        self._places[:, row] = reading.number, reading.run, reading.step, ACCEPTED
        self._values[row] = reading.value
        self._row[reading.number] = row
        self._length += 1

    def mark(self, number: int, status: int) -> None:
        """Give reading `number` another status."""
        self._places[3, self._row[number]] = status

    def columns(self) -> Columns:
        """Return a copy that nothing changes any more."""
        places, values = self._places[:, : self._length].copy(), self._values[: self._length].copy()
        places.flags.writeable = values.flags.writeable = False
        return Columns(places[0], places[1], places[2], values, places[3])
