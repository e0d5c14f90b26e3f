"""Cells with the settings under which they are supposed to have been taken, and what solving them leaves."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from solver.adjust import Adjustment
from solver.cells import Cells
from solver.circle import Values
from solver.closure import Closure, Floats, Ints
from solver.deleted import Residuals
from solver.elimination import Elimination
from solver.equations import Equations
from solver.fit import Fit, solve
from solver.grouping import Grouped
from solver.normal import cofactor
from solver.rows import rows


@dataclass(frozen=True, slots=True)
class Case:
    """N cells and where the circles are supposed to have stood; arc seconds.

    Parameters
    ----------
    closure : Closure
        The model.
    run, time : (N,) int arrays
        Run and step under which each cell is recorded.
    offset, step : (N,) int arrays
        Setting supposed: lower position step, upper position by offset and step, modulo n.
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
    run: Ints
    time: Ints
    offset: Ints
    step: Ints
    group: Ints
    reading: Floats
    base: Floats
    sign: Ints

    @classmethod
    def of(cls, closure: Closure, offset: Ints, cells: Cells, group: Ints | None = None) -> Case:
        """Build the case as recorded; arguments as for `solver.adjust.adjust`."""
        offset = np.asarray(offset, dtype=np.int64)
        grouped = Grouped.of(closure, len(offset), cells, group)
        return cls(
            closure=closure,
            run=cells.run,
            time=cells.step,
            offset=offset[cells.run],
            step=cells.step,
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
        equations = self._equations()
        solution = cofactor(equations, self.closure.positions)
        fit = Fit.of(equations, solution, self.closure.polarity * self.reading)
        freedom = len(self) - solution.rank - equations.elimination.rank
        return Solved(self, fit, fit.leverages(), freedom)

    def squares(self) -> float:
        """Return the sum of squared residuals alone, in half the time."""
        equations = self._equations()
        _, residual = solve(equations, cofactor(equations, self.closure.positions), self.reading)
        return float(residual @ residual)

    def _equations(self) -> Equations:
        time = self.time.astype(np.float64)
        design = replace(rows(self.closure, self.offset, self.step, self.group), time=time)
        terms = self.closure.shared_terms
        return Equations.of(design, Elimination.of(self.group, time, len(self.base), terms))

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
    fit : Fit
        Its solution.
    leverage : (N,) array
        Diagonal of the hat matrix H.
    freedom : int
        Degrees of freedom.
    """

    case: Case
    fit: Fit
    leverage: Floats
    freedom: int

    @classmethod
    def of(cls, case: Case, adjustment: Adjustment) -> Solved:
        """Take over the adjustment of a case as recorded."""
        return cls(case, adjustment.fit, adjustment.leverage, adjustment.degrees_of_freedom)

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
        design = replace(rows(self.case.closure, offset, step, group), time=np.asarray(time, dtype=float))
        found = self.fit.values(design)
        return Values(self.case.closure.polarity * found.value + self.case.base[group], found.root)
