"""Which position errors are unknowns: every position of a circle, or with arcs those that some run stops at."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from solver.circle import Values
from solver.closure import Closure, Flags, Floats, Ints
from solver.elimination import Elimination
from solver.equations import Equations
from solver.fit import Fit
from solver.rows import Rows, rows
from solver.runs import Runs


@dataclass(frozen=True, slots=True)
class Columns:
    """The unknowns of an adjustment, lower circle first.

    Parameters
    ----------
    closure : Closure
        The model.
    positions : tuple of (p,) int arrays
        Fine positions of each circle that are unknowns, rising.
    place : (unknowns,) int array
        Column of each position error of the closure, -1 for one that is no unknown.
    """

    closure: Closure
    positions: tuple[Ints, ...]
    place: Ints

    @classmethod
    def of(cls, closure: Closure, runs: Runs, design: Rows) -> Columns:
        """Find the positions at which a run is planned to stop, and those that enter a design beside."""
        wide = np.zeros(closure.unknowns, dtype=bool)
        if closure.subdivision == 1:
            wide[:] = True
        else:
            run, step = runs.planned()
            wide[rows(closure, *runs.setting(run, step), run).index] = True
            wide[design.index] = True
        place = np.where(wide, np.cumsum(wide) - 1, -1)
        circles = wide.reshape(-1, closure.fine)
        return cls(closure, tuple(np.flatnonzero(circle) for circle in circles), place)

    @property
    def sizes(self) -> tuple[int, ...]:
        """Number of unknowns of each circle."""
        return tuple(len(circle) for circle in self.positions)

    def where(self, circle: int) -> slice:
        """Return where the unknowns of a circle stand, 0 for the lower."""
        first = sum(self.sizes[:circle])
        return slice(first, first + self.sizes[circle])

    def main(self, circle: int) -> Ints:
        """Return which unknowns of a circle, counted from its first, are the positions that runs round it stop at."""
        return np.flatnonzero(self.positions[circle] % self.closure.subdivision == 0)

    def mean_row(self) -> Floats:
        """Return how the means of the circles at their n positions enter a reading, shape (unknowns,).

        The unknowns are about the mean of all positions that some run stops at, the errors of a circle about that of
        its n positions. What lies between belongs to the constants of the runs; without arcs there is nothing, and in
        the readings of intervals it cancels.
        """
        row = np.zeros(sum(self.sizes))
        if self.closure.subdivision > 1 and self.closure.reading == "position":
            for circle, sign in enumerate((1.0, float(self.closure.upper_sign))):
                main = self.where(circle).start + self.main(circle)
                row[main] = sign / len(main)
        return row

    def narrow(self, design: Rows) -> tuple[Rows, Flags]:
        """Return a design over these unknowns, and which of its rows have no other ones, shape (N,)."""
        if len(self.place) == sum(self.sizes):
            return design, np.ones(len(design), dtype=bool)
        index = self.place[design.index]
        return replace(design, index=np.maximum(index, 0), size=sum(self.sizes)), np.all(index >= 0, axis=0)

    def values(self, fit: Fit, design: Rows) -> Values:
        """Return adjusted values at the rows of a design, not determined where other position errors enter."""
        narrow, known = self.narrow(design)
        return fit.values(narrow).without(~known)


def equations_of(closure: Closure, runs: Runs, design: Rows, groups: int) -> tuple[Equations, Columns]:
    """Return the equations of a design in the unknowns of its runs, and which unknowns these are."""
    columns = Columns.of(closure, runs, design)
    narrow, _ = columns.narrow(design)
    elimination = Elimination.of(narrow.group, narrow.time, groups, closure.shared_terms)
    return Equations.of(narrow, elimination), columns
