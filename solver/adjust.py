"""The least-squares adjustment: both circles from the readings, with what they do and do not determine."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from solver.cells import Cells, check
from solver.circle import Circle, Values
from solver.closure import Closure, Floats, Ints
from solver.elimination import Elimination
from solver.equations import Equations
from solver.fit import Fit
from solver.grouping import Grouped
from solver.normal import Cofactor, cofactor
from solver.rows import rows

__all__ = ["Adjustment", "Circle", "Values", "adjust"]


@dataclass(frozen=True, slots=True)
class Adjustment:
    """The adjustment of N cells in G groups (a group is a run, or a part of a run that was split).

    Parameters
    ----------
    closure : Closure
        The model.
    lower, upper : Circle
        Solved errors; `upper` is None for a single closure.
    reference : Values
        (1,) error x of the fixed angle of a single closure; empty for a dual one.
    constant, drift : Values
        (G,) constants of the groups at step 0, with their base, and drifts per step; nan where there is none.
    fitted, residual, leverage : (N,) arrays
        Adjusted value of each cell with its base, cell minus adjusted value, and diagonal of the hat matrix.
    rank, degrees_of_freedom : int
        Rank of the whole design, shared terms included, and filled cells minus rank.
    standard_deviation : float
        Of one cell about the adjustment; nan with no degree of freedom.
    missing : int
        Number of directions that the readings leave undetermined.
    theta : (p,) array
        Position errors about the mean, lower then upper; meaningless along undetermined directions.
    cofactor : Cofactor
        Cofactor matrix of theta and the undetermined directions.
    fit : Fit
        The solution behind all that, with polarity and bases left out.
    """

    closure: Closure
    lower: Circle
    upper: Circle | None
    reference: Values
    constant: Values
    drift: Values
    fitted: Floats
    residual: Floats
    leverage: Floats
    rank: int
    degrees_of_freedom: int
    standard_deviation: float
    missing: int
    theta: Floats
    cofactor: Cofactor
    fit: Fit
    _base: Floats

    @property
    def determined(self) -> bool:
        """Whether every error of every circle is determined."""
        return self.missing == 0

    def predict(self, offset: Ints, step: Ints, group: Ints) -> Values:
        """Predict cells at any settings, filled or not, with the bases of their groups.

        Parameters
        ----------
        offset, step, group : (S,) int arrays
            Offset of the run, step, and group (a single closure has but one, so its `group` may be anything).

        Returns
        -------
        Values
            (S,) arc seconds, not determined for a group that holds no cell. The root is that of the adjusted
            value; a new cell scatters by a further 1 in square.
        """
        owner = np.asarray(group, dtype=np.int64)
        if not self.closure.dual:
            owner = np.zeros_like(owner)
        strange = owner >= len(self._base)
        owner = np.where(strange, 0, owner)
        found = self.fit.values(rows(self.closure, offset, step, owner))
        if self.closure.shared_terms:
            found = found.without(strange)
        return _turned(found, self.closure.polarity, self._base[owner])

    def unexplained(self, reading: Floats) -> Floats:
        """Return the residuals that other readings of the same cells would leave: (1 - H) y for y of shape (N,).

        For the unit vector of a cell this is its column of the cofactor matrix of the residuals.
        """
        return self.fit.unexplained(reading)


def adjust(closure: Closure, offset: Ints, cells: Cells, group: Ints | None = None) -> Adjustment:
    """Adjust the cells: every filled cell has weight one.

    Eliminating what a run shares leaves normal equations in the position errors of both circles. The mean of
    each circle is a matter of definition and set to zero; whatever else the readings leave open is found and
    reported as not determined, never filled in.

    Parameters
    ----------
    closure : Closure
        The model.
    offset : (runs,) int array
        Offset of each run.
    cells : Cells
        Filled cells, arc seconds.
    group : (N,) int array, optional
        Group of each cell, with a constant (and drift) of its own; by default its run.

    Returns
    -------
    Adjustment
        With nan for every value that is not determined.

    Raises
    ------
    Refused
        For cells that the model does not have, or values that are no finite numbers.

    Notes
    -----
    Design document, section 2.
    """
    offset = np.asarray(offset, dtype=np.int64)
    check(closure, len(offset), cells)
    grouped = Grouped.of(closure, len(offset), cells, group)
    owner, base = grouped.owner, grouped.base
    design = rows(closure, offset[cells.run], cells.step, owner)
    equations = Equations.of(design, Elimination.of(owner, design.time, len(base), closure.shared_terms))
    solution = cofactor(equations, closure.positions)
    fit = Fit.of(equations, solution, closure.polarity * grouped.reading)

    rank = solution.rank + equations.elimination.rank
    freedom = len(cells) - rank
    residual = closure.polarity * fit.residual
    constant, drift = _shared(closure, fit, base)
    n = closure.positions
    return Adjustment(
        closure=closure,
        lower=Circle.of(fit.theta[:n], solution.part(0, n)),
        upper=Circle.of(fit.theta[n:], solution.part(n, 2 * n)) if closure.dual else None,
        reference=_reference(closure, fit, base),
        constant=constant,
        drift=drift,
        fitted=cells.value + cells.base[cells.run] - residual,
        residual=residual,
        leverage=fit.leverages(),
        rank=rank,
        degrees_of_freedom=freedom,
        standard_deviation=float(np.sqrt(residual @ residual / freedom)) if freedom > 0 else np.nan,
        missing=solution.null.shape[1],
        theta=fit.theta,
        cofactor=solution,
        fit=fit,
        _base=base,
    )


def _shared(closure: Closure, fit: Fit, base: Floats) -> tuple[Values, Values]:
    """Return the constants and drifts of the groups, not determined where the model has none."""
    nothing = Values.nothing(len(base))
    if not closure.dual or not closure.shared_terms:
        return nothing, nothing
    level = _turned(fit.constants(), closure.polarity, base)
    if closure.reading == "interval":
        return nothing, level
    if closure.shared_terms == 1:
        return level, nothing
    return level, _turned(fit.slopes(), closure.polarity, np.zeros_like(base))


def _reference(closure: Closure, fit: Fit, base: Floats) -> Values:
    """Return x of a single closure, whose shared constant is -p x."""
    if closure.dual:
        return Values.nothing(0)
    return _turned(fit.constants(), -1, -closure.polarity * base)


def _turned(values: Values, polarity: int, base: Floats) -> Values:
    """Return values times the polarity, with their bases."""
    return Values(polarity * values.value + base, values.root)
