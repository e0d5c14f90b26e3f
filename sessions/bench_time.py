"""How long planned work takes."""

from __future__ import annotations

from dataclasses import dataclass

from sessions.design import Design
from solver.refused import Refused


@dataclass(frozen=True, slots=True)
class Pace:
    """Seconds that one person at the bench takes (common practice, no source).

    Parameters
    ----------
    reading : float
        To step both circles, let them settle and read.
    repeat : float
        To read again without moving anything.
    offset : float
        To shift the upper circle by hand, turn the mirror back and zero, once for each offset and arc.
    """

    reading: float = 75.0
    repeat: float = 15.0
    offset: float = 120.0

    def __post_init__(self) -> None:
        for value, where in (
            (self.reading, "--seconds"),
            (self.repeat, "--repeat-seconds"),
            (self.offset, "--offset-seconds"),
        ):
            if not 0 <= value < float("inf"):
                raise Refused(f"{value:g} seconds cannot be planned", where=where, remedy="use 0 or more")

    def cell(self, repeats: int) -> float:
        """Return the seconds that a cell of so many readings takes."""
        return self.reading + (repeats - 1) * self.repeat

    def hours(self, design: Design) -> float:
        """Return the hours that a design takes, without setting up."""
        cell = self.cell(design.repeats)
        shifts = len(design.offsets) + len(design.arcs)
        return (design.planned_cells * cell + shifts * self.offset) / 3600
