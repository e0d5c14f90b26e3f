"""The solved equations: adjusted values at any setting, and what the runs share put back."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from solver.circle import Values
from solver.closure import Flags, Floats
from solver.equations import Equations
from solver.normal import Cofactor
from solver.rows import Rows, SameRow


@dataclass(frozen=True, slots=True)
class Fit:
    """Position errors and shared terms with their cofactors; readings times polarity, without their bases.

    An adjusted value is linear in the unknowns: a row a over the position errors and functions q over the
    shared terms of its group, whose overlap is W. Its cofactor is (a - W q)' P (a - W q) + q'q.

    Parameters
    ----------
    equations : Equations
        What was solved.
    cofactor : Cofactor
        P, of the position errors.
    theta : (p,) array
        Position errors about the mean.
    level : (terms, G) array
        Components along the shared terms of the readings less the position errors.
    lever : (terms, p, G) array
        P W.
    moment : (terms, terms, G) array
        W' P W.
    residual : (N,) array
        Reading less adjusted value.
    """

    equations: Equations
    cofactor: Cofactor
    theta: Floats
    level: Floats
    lever: Floats
    moment: Floats
    residual: Floats

    @classmethod
    def of(cls, equations: Equations, cofactor: Cofactor, reading: Floats) -> Fit:
        """Solve for (N,) readings."""
        theta, left = solve(equations, cofactor, reading)
        level = equations.elimination.components(reading - equations.rows.times(theta))
        lever = cofactor.strong @ equations.overlap
        moment = np.einsum("ipg,jpg->ijg", equations.overlap, lever)
        return cls(equations, cofactor, theta, level, lever, moment, left)

    def unexplained(self, reading: Floats) -> Floats:
        """Return (1 - H) y for other (N,) readings y of the same cells: the residuals they would leave."""
        return solve(self.equations, self.cofactor, reading)[1]

    def values(self, design: Rows | SameRow) -> Values:
        """Return adjusted values at the rows of a design, shape (S,)."""
        elimination = self.equations.elimination
        told = elimination.spanned(design.group, design.time)
        return self._evaluate(design, elimination.basis(design.group, design.time), told)

    def leverages(self) -> Floats:
        """Return the diagonal of the hat matrix, the cofactors of the adjusted cells, shape (N,)."""
        return self._cofactors(self.equations.rows, self.equations.elimination.functions)

    def constants(self, weight: Floats) -> Values:
        """Return what each group shares at step 0, shape (G,).

        Parameters
        ----------
        weight : (p,) array
            Row of the position errors that belongs to the constant: errors counted from another mean than that of
            `theta` leave their difference to it.
        """
        return self.values(SameRow(weight, np.arange(self.equations.elimination.groups)))

    def slopes(self) -> Values:
        """Return the drift per step of each group that shares a constant and a drift, shape (G,)."""
        scale = self.equations.elimination.scale
        functions = np.array([np.zeros_like(scale[1]), scale[1]])
        nowhere = SameRow(np.zeros(self.equations.rows.size), np.arange(len(scale[1])))
        return self._evaluate(nowhere, functions, scale[1] > 0)

    def _evaluate(self, design: Rows | SameRow, functions: Floats, told: Flags) -> Values:
        """Return the values of rows and functions; those that the group's cells have not `told` are blank."""
        value = design.times(self.theta)
        value += np.einsum("qs,qs->s", functions, self.level[:, design.group])
        loose = np.where(told, 0.0, np.inf)
        here = np.flatnonzero(told)
        loose[here] = self.equations.lengths(self.cofactor.null, design.take(here), functions[:, here])
        return Values.of(value, self._cofactors(design, functions), loose)

    def _cofactors(self, design: Rows | SameRow, functions: Floats) -> Floats:
        total = design.quadratic(self.cofactor.strong)
        for i, function in enumerate(functions):
            total += function**2
            total -= 2 * function * design.by_group(self.lever[i])
            for j, other in enumerate(functions):
                total += function * other * self.moment[i, j, design.group]
        total += self.equations.lengths(self.cofactor.weak, design, functions) ** 2
        return np.maximum(total, 0.0)


def solve(equations: Equations, cofactor: Cofactor, reading: Floats) -> tuple[Floats, Floats]:
    """Return the position errors for (N,) readings, and the residuals.

    A second pass wins back what forming normal equations lost.
    """
    rows, elimination = equations.rows, equations.elimination
    theta = np.zeros(rows.size)
    left = elimination.project(reading)
    for _ in range(2):
        theta += cofactor.times(rows.transposed_times(left))
        left = elimination.project(reading - rows.times(theta))
    return theta, left
