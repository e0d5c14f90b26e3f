"""What screening takes and gives: readings as typed, limits, flags."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from solver.changes import Name
from solver.closure import Flags, Floats, Ints
from solver.deleted import Accepted
from solver.slips import SlipName

Test = Literal["range", "resolution", "tolerance", "repeats", "spread", "residual", "closing"]
Suggestion = SlipName | Name | Literal["jump"]


@dataclass(frozen=True, slots=True)
class Readings:
    """The accepted readings, M of them, kept ones included.

    Parameters
    ----------
    run, step : (M,) int arrays
        Cell of each reading.
    typed : (M,) array
        The numbers as typed, in the unit of the instrument.
    number : (M,) int array
        Entry number, rising in the order of reading.
    kept : (M,) bool array
        Whether it was flagged once and kept on purpose: it is not flagged again.
    """

    run: Ints
    step: Ints
    typed: Floats
    number: Ints
    kept: Flags

    def __len__(self) -> int:
        return len(self.run)


@dataclass(frozen=True, slots=True)
class Limits:
    """What is known of instrument and circles beforehand.

    Parameters
    ----------
    unit : float
        Arc seconds in one unit of the instrument.
    resolution, range : float, optional
        Of the instrument, in its unit; the range is ± `range`.
    lower, upper : float, optional
        Tolerances of the circles, ± arc seconds.
    accepted : Accepted, optional
        Standard deviation of one cell, arc seconds.
    accepted_reading : Accepted, optional
        Standard deviation of one reading within its cell, arc seconds. By default what `accepted` allows at most:
        root `repeats` times it, as if the seating had no part in it.
    repeats : int
        Readings planned in each cell.
    planned : int
        Cells planned, closing readings included; 0 where there is no plan. A session that is judged after every
        reading keeps to its level with this; once all cells are filled it makes no difference.
    """

    unit: float = 1.0
    resolution: float | None = None
    range: float | None = None
    lower: float | None = None
    upper: float | None = None
    accepted: Accepted | None = None
    accepted_reading: Accepted | None = None
    repeats: int = 1
    planned: int = 0

    @property
    def within(self) -> Accepted | None:
        """Accepted standard deviation of a reading within its cell."""
        if self.accepted_reading is not None or self.accepted is None:
            return self.accepted_reading
        return Accepted(float(np.sqrt(self.repeats)) * self.accepted.deviation, self.accepted.freedom)


@dataclass(frozen=True, slots=True)
class Flag:
    """A suspicion, arc seconds where not said otherwise.

    Parameters
    ----------
    run, step : int
        The cell; of a run that is suspect as a whole its first reading, of a jump the first reading beyond it.
    entry : int
        Number of the suspected reading.
    test : str
        "range", "resolution", "tolerance", "repeats", "spread", "residual" or "closing".
    statistic, critical : float
        What was found and what chance allows, on the scale of the test.
    strong : bool
        Whether it stands out at a fifth of the level as well.
    value : float
        The reading; of a spread the standard deviation within the cell.
    predicted, deviation : float or None
        What was to be expected and the standard deviation of a good reading about it; None where neither is known.
    suggestion : str or None
        What would explain it: "sign", "decimal", "digits", "dropped digit", "doubled digit", "neighbour", "jump",
        or for the whole run "run shifted", "circles confused", "polarity".
    suggested_value, suggested_typed : float or None
        What the reading would have been, and that in the unit of the instrument as it would have been typed.
    moved : (int, int) or None
        Positions by which lower and upper circle stood further on than recorded, all through the run.
    jump : float or None
        By how much the readings jump there.
    rivals : tuple of (int, int)
        Run and step of other cells that may be bad instead: the readings cannot tell them apart yet.
    others : tuple of int
        Entry numbers of other readings of the cell that may be bad instead.
    """

    run: int
    step: int
    entry: int
    test: Test
    statistic: float
    critical: float
    strong: bool
    value: float
    predicted: float | None = None
    deviation: float | None = None
    suggestion: Suggestion | None = None
    suggested_value: float | None = None
    suggested_typed: float | None = None
    moved: tuple[int, int] | None = None
    jump: float | None = None
    rivals: tuple[tuple[int, int], ...] = ()
    others: tuple[int, ...] = ()

    @property
    def weight(self) -> float:
        """By what suspicions are ordered: how often the statistic holds what chance allows."""
        return 1.0 if self.test == "resolution" else self.statistic / self.critical


@dataclass(frozen=True, slots=True)
class NotTested:
    """A test that could not be made, and why, as a short clause."""

    test: Test
    reason: str


@dataclass(frozen=True, slots=True)
class Screening:
    """The verdict on all readings.

    Parameters
    ----------
    flags : tuple of Flag
        Heaviest first; readings that were kept on purpose are left out.
    not_tested : tuple of NotTested
        Tests that could not be made yet.
    deviation, freedom : float
        Standard deviation of one cell by which the cells were judged, arc seconds, and its degrees of freedom
        (inf: known); nan and 0 where there is none.
    contradicted : bool
        Whether the readings contradict the accepted standard deviation, which then was not used.
    """

    flags: tuple[Flag, ...]
    not_tested: tuple[NotTested, ...]
    deviation: float
    freedom: float
    contradicted: bool
