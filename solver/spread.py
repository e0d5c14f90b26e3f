"""What is found of the repeats of a cell."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, slots=True)
class Spread:
    """A cell whose repeats disagree.

    Parameters
    ----------
    cell : int
        The cell.
    test : str
        "range": critical range; "grubbs"; "cochran": its spread against that of the other cells.
    statistic, critical : float
        Studentized range, Grubbs' statistic or share in the sum of squares, and what chance allows.
    strong : bool
        Whether it stands out at a fifth of the level as well.
    reading : int or None
        The reading that stands out, by Grubbs' test.
    """

    cell: int
    test: Literal["range", "grubbs", "cochran"]
    statistic: float
    critical: float
    strong: bool
    reading: int | None = None
