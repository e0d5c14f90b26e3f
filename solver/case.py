"""Cells with the settings under which they are supposed to have been taken, and what solving them leaves."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from solver.adjust import Adjustment
from solver.cells import Cells
from solver.circle import Values
from solver.closure import Closure, Flags, Floats, Ints
from solver.columns import Columns, equations_of
from solver.deleted import Residuals
from solver.equations import Equations
from solver.fit import Fit, solve
from solver.grouping import Grouped
from solver.normal import cofactor
from solver.rows import rows
from solver.runs import Runs


@dataclass(frozen=True, slots=True)
class Case:
    """N cells and where the circles are supposed to have stood; arc seconds.

    Parameters
    ----------
    closure : Closure
        The model.
    runs : Runs
        How the runs go, as recorded.
    run, time : (N,) int arrays
        Run and step under which each cell is recorded.
    offset, step : (N,) int arrays
        Setting supposed: lower position step, upper position by offset and step.
    group : (N,) int array
        Group of each cell, with a constant of its own.
    reading : (N,) array
        Value of each cell less the base of its group.
    base : (G,) array
        What to add to the readings of a group.
    sign : (N,) int array
        -1 where the readings are supposed to have had the opposite sign and were turned, else +1.
    """

    closure: Closure
    runs: Runs
    run: Ints
    time: Ints
    offset: Ints
    step: Ints
    group: Ints
    reading: Floats
    base: Floats
    sign: Ints

    @classmethod
    def of(cls, closure: Closure, offset: Ints | Runs, cells: Cells, group: Ints | None = None) -> Case:
        """Build the case as recorded; arguments as for `solver.adjust.adjust`."""
        runs = Runs.of(closure, offset)
        grouped = Grouped.of(closure, len(runs), cells, group)
        offset, step = runs.setting(cells.run, cells.step)
        return cls(
            closure=closure,
            runs=runs,
            run=cells.run,
            time=cells.step,
            offset=offset,
            step=step,
            group=grouped.owner,
            reading=grouped.reading,
            base=grouped.base,
            sign=np.ones(len(cells), dtype=np.int64),
        )

    def __len__(self) -> int:
        return len(self.run)

    def split(self, group: int, time: int) -> Case:
        """Return the case with a constant of its own for `group` from step `time` on."""
        owner = self.group.copy()
        owner[(owner == group) & (self.time >= time)] = len(self.base)
        return replace(self, group=owner, base=np.append(self.base, self.base[group]))

    def solved(self) -> Solved:
        """Adjust the cells."""
        equations, columns = self._equations()
        solution = cofactor(equations, columns.sizes)
        fit = Fit.of(equations, solution, self.closure.polarity * self.reading)
        freedom = len(self) - solution.rank - equations.elimination.rank
        return Solved(self, columns, fit, fit.leverages(), freedom)

    def squares(self) -> float:
        """Return the sum of squared residuals alone, in half the time."""
        equations, columns = self._equations()
        _, residual = solve(equations, cofactor(equations, columns.sizes), self.reading)
        return float(residual @ residual)

    @property
    def closing(self) -> Flags:
        """Which cells are closing readings, (N,)."""
        return np.asarray(self.time == self.runs.settings[self.run])

    def _equations(self) -> tuple[Equations, Columns]:
        design = rows(self.closure, self.offset, self.step, self.group, self.time)
        return equations_of(self.closure, self.runs, design, len(self.base))

    def without(self, cells: Ints) -> Case:
        """Return the case without some cells."""
        keep = np.ones(len(self), dtype=bool)
        keep[cells] = False
        columns = ("run", "time", "offset", "step", "group", "reading", "sign")
        return replace(self, **{name: getattr(self, name)[keep] for name in columns})


@dataclass(frozen=True, slots=True)
class Solved:
    """A case adjusted.

    Parameters
    ----------
    case : Case
        What was adjusted.
    columns : Columns
        Its unknowns.
    fit : Fit
        Its solution.
    leverage : (N,) array
        Diagonal of the hat matrix H.
    freedom : int
        Degrees of freedom.
    """

    case: Case
    columns: Columns
    fit: Fit
    leverage: Floats
    freedom: int

    @classmethod
    def of(cls, case: Case, adjustment: Adjustment) -> Solved:
        """Take over the adjustment of a case as recorded."""
        freedom = adjustment.degrees_of_freedom
        return cls(case, adjustment.columns, adjustment.fit, adjustment.leverage, freedom)

    @property
    def residual(self) -> Floats:
        """Cell minus adjusted value, (N,)."""
        return self.case.closure.polarity * self.fit.residual

    @property
    def redundancy(self) -> Floats:
        """1 - leverage: the variance of each residual in units of that of one cell, (N,)."""
        return np.maximum(1.0 - self.leverage, 0.0)

    @property
    def squares(self) -> float:
        """Sum of squared residuals."""
        return float(self.fit.residual @ self.fit.residual)

    @property
    def left(self) -> Residuals:
        """What the adjustment leaves to be judged."""
        return Residuals(self.residual, self.redundancy, self.freedom, self.column)

    def column(self, cell: int) -> Floats:
        """Return the column of a cell in I - H, the cofactor matrix of the residuals, (N,)."""
        unit = np.zeros(len(self.case))
        unit[cell] = 1.0
        return self.fit.unexplained(unit)

    def struck(self, cells: Ints) -> Floats:
        """Return the residuals with the part of some cells taken out, 0 at these, (N,)."""
        residual = self.residual
        if not len(cells):
            return residual
        columns = np.array([self.column(int(cell)) for cell in cells])
        residual = residual - np.linalg.solve(columns[:, cells], residual[cells]) @ columns
        residual[cells] = 0.0
        return np.asarray(residual)

    def predict(self, offset: Ints, step: Ints, group: Ints, time: Ints) -> Values:
        """Return adjusted values at (S,) settings, with the bases of their groups, nothing turned back."""
        found = self.columns.values(self.fit, rows(self.case.closure, offset, step, group, time))
        return Values(self.case.closure.polarity * found.value + self.case.base[group], found.root)
