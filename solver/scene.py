"""All that the accusations draw on: readings in their cells, limits, and the verdict on the cells."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from solver.case import Case, Solved
from solver.cells import Cells
from solver.closure import Floats, Ints
from solver.flags import Flag, Limits, Readings, Test
from solver.judge import Verdict
from solver.slips import Slip, explain
from solver.suspects import Suspect


@dataclass(frozen=True, slots=True)
class Scene:
    """Readings in their cells with the verdict on the cells; arc seconds.

    Parameters
    ----------
    recorded : Case
        The cells as recorded.
    verdict : Verdict
        What accounts for them.
    readings : Readings
        The readings.
    limits : Limits
        What is known beforehand.
    value : (M,) array
        The readings.
    cell : (M,) int array
        Cell of each reading.
    cells : Cells
        The cells with their repeats.
    level : float
        Level of the residuals.
    resolution : float or None
        Of the readings in the unit of the instrument: as stated, else the decimal place to which all are typed.
    """

    recorded: Case
    verdict: Verdict
    readings: Readings
    limits: Limits
    value: Floats
    cell: Ints
    cells: Cells
    level: float
    resolution: float | None

    def members(self, cell: int) -> Ints:
        """Return the readings of a cell."""
        return np.flatnonzero(self.cell == cell)

    def furthest(self, cell: int, predicted: float) -> int:
        """Return the reading of a cell that is furthest from its prediction; of equals the latest."""
        members = self.members(cell)
        away = np.round(np.abs(self.value[members] - predicted), 9)
        return int(members[np.lexsort((self.readings.number[members], away))[-1]])

    def mean(self, cell: int) -> float:
        """Return the value of a cell."""
        return float(self.cells.value[cell] + self.cells.base[self.cells.run[cell]])

    def predicted(self, suspect: Suspect) -> float:
        """Return what the good cells predict for a cell, in the sense in which it was read."""
        turned = int(self.verdict.solved.case.sign[suspect.cell])
        return self.mean(suspect.cell) - turned * suspect.error

    @property
    def deviation(self) -> float:
        """Standard deviation of one cell, the guilty ones struck; nan where it is not known."""
        return float(np.sqrt(self.verdict.search.remaining.without(0.0, 0)[0]))

    @property
    def freedom(self) -> float:
        """Degrees of freedom of `deviation`."""
        return max(self.verdict.search.remaining.without(0.0, 0)[1], 0.0)

    def place(self, cell: int) -> tuple[int, int]:
        """Return run and step under which a cell is recorded."""
        return int(self.cells.run[cell]), int(self.cells.step[cell])

    def slip(
        self,
        reading: int,
        predicted: float,
        deviation: float,
        neighbours: Sequence[tuple[float, float]] = (),
    ) -> Slip | None:
        """Return the slip that explains a reading, its value in the unit of the instrument."""
        unit = self.limits.unit
        return explain(
            float(self.readings.typed[reading]),
            predicted / unit,
            deviation / unit,
            resolution=self.resolution,
            neighbours=[(value / unit, scatter / unit) for value, scatter in neighbours],
        )

    def flag(
        self, reading: int, test: Test, statistic: float, critical: float, *, strong: bool = True
    ) -> Flag:
        """Return the flag of a reading, with nothing said yet of what was expected or would explain it."""
        readings = self.readings
        return Flag(
            run=int(readings.run[reading]),
            step=int(readings.step[reading]),
            entry=int(readings.number[reading]),
            test=test,
            statistic=statistic,
            critical=critical,
            strong=strong,
            value=float(self.value[reading]),
        )

    def explained(
        self, flag: Flag, predicted: float, deviation: float | None = None, slip: Slip | None = None
    ) -> Flag:
        """Return a flag with what was to be expected, arc seconds, and the slip that would explain it, if any."""
        return replace(
            flag,
            predicted=predicted,
            deviation=deviation,
            suggestion=slip.name if slip else None,
            suggested_value=slip.value * self.limits.unit if slip else None,
            suggested_typed=slip.value if slip else None,
        )


def neighbours(solved: Solved, cell: int, case: Case, deviation: float) -> list[tuple[float, float]]:
    """Return what the readings at neighbouring settings and in neighbouring runs would be, and how sure.

    Parameters
    ----------
    solved : Solved
        The good cells adjusted.
    cell : int
        A cell of `case`.
    case : Case
        All cells, under the settings supposed.
    deviation : float
        Standard deviation of one cell.
    """
    closure = case.closure
    turn = -closure.upper_sign
    stride = int(case.runs.stride[case.run[cell]])
    offset, step = int(case.offset[cell]), int(case.step[cell])
    moves = [(1, turn), (-1, -turn), (0, 1), (0, -1), (1, 0), (-1, 0)] if closure.dual else [(1, 0), (-1, 0)]
    settings = [
        (
            offset + stride * (upper - turn * lower),
            step + stride * lower,
            int(case.group[cell]),
            int(case.time[cell]),
        )
        for lower, upper in moves
    ]
    if closure.dual:
        beside = (np.abs(case.run - case.run[cell]) == 1) & (case.time == case.time[cell])
        settings += [
            (int(case.offset[i]), int(case.step[i]), int(case.group[i]), int(case.time[i]))
            for i in np.flatnonzero(beside)
        ]
    where = np.array(settings, dtype=np.int64)
    found = solved.predict(where[:, 0], where[:, 1], where[:, 2], where[:, 3])
    scatter = deviation * np.sqrt(1 + found.root**2)
    known = np.isfinite(found.value) & np.isfinite(scatter)
    value = int(case.sign[cell]) * found.value
    return [(float(v), float(s)) for v, s in zip(value[known], scatter[known], strict=True)]
