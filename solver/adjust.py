"""The least-squares adjustment: both circles from the readings, with what they do and do not determine."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from solver.cells import Cells, check
from solver.circle import Circle, Measured, Values
from solver.closure import Closure, Floats, Ints
from solver.columns import Columns, equations_of
from solver.fit import Fit
from solver.grouping import Grouped
from solver.normal import Cofactor, cofactor
from solver.rows import rows
from solver.runs import Runs

__all__ = ["Adjustment", "Circle", "Measured", "Values", "adjust"]

CIRCLES = ("lower", "upper")


@dataclass(frozen=True, slots=True)
class Adjustment:
    """The adjustment of N cells in G groups (a group is a run, or a part of a run that was split).

    Parameters
    ----------
    closure : Closure
        The model.
    runs : Runs
        How the runs go.
    columns : Columns
        Which position errors are unknowns.
    lower, upper : Circle
        Solved errors at the n positions; `upper` is None for a single closure.
    reference : Values
        (1,) error x of the fixed angle of a single closure; empty for a dual one.
    constant, drift : Values
        (G,) constants of the groups at step 0, with their base, and drifts per step; nan where there is none.
    fitted, residual, leverage : (N,) arrays
        Adjusted value of each cell with its base, cell minus adjusted value, and diagonal of the hat matrix. Readings
        that fit exactly, but for the rounding of the arithmetic, have residuals of 0.
    rank, degrees_of_freedom : int
        Rank of the whole design, shared terms included, and filled cells minus rank.
    standard_deviation : float
        Of one cell about the adjustment; nan with no degree of freedom.
    missing : int
        Number of directions that the readings leave undetermined.
    theta : (p,) array
        Unknowns about the mean of those of their circle, lower then upper; meaningless along undetermined directions.
    cofactor : Cofactor
        Cofactor matrix of theta and the undetermined directions.
    fit : Fit
        The solution behind all that, with polarity and bases left out.
    """

    closure: Closure
    runs: Runs
    columns: Columns
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

    def part(self, circle: str) -> tuple[Floats, Cofactor]:
        """Return the errors of a circle about the mean of its n positions, shape (n,), and their cofactor.

        Parameters
        ----------
        circle : str
            "lower" or "upper".
        """
        return _main(self.columns, CIRCLES.index(circle), self.theta, self.cofactor)

    def measured(self, circle: str) -> Measured:
        """Return the errors of a circle at every position that some run stops at.

        Parameters
        ----------
        circle : str
            "lower" or "upper".
        """
        which = CIRCLES.index(circle)
        return Measured.of(
            self.columns.positions[which], *_about_main(self.columns, which, self.theta, self.cofactor)
        )

    def predict(self, offset: Ints, step: Ints, group: Ints, time: Ints | None = None) -> Values:
        """Predict cells at any settings, filled or not, with the bases of their groups.

        Parameters
        ----------
        offset, step, group : (S,) int arrays
            Offset of the run, step (where an arc is divided: as `Runs.setting` gives both), and group (a single
            closure has but one, so its `group` may be anything).
        time : (S,) int array, optional
            Step within the run, the lever of a drift, where `step` is not that.

        Returns
        -------
        Values
            (S,) arc seconds, not determined for a group that holds no cell and for positions that are no unknowns.
            The root is that of the adjusted value; a new cell scatters by a further 1 in square.
        """
        owner = np.asarray(group, dtype=np.int64)
        if not self.closure.dual:
            owner = np.zeros_like(owner)
        strange = owner >= len(self._base)
        owner = np.where(strange, 0, owner)
        found = self.columns.values(self.fit, rows(self.closure, offset, step, owner, time))
        if self.closure.shared_terms:
            found = found.without(strange)
        return _turned(found, self.closure.polarity, self._base[owner])

    def unexplained(self, reading: Floats) -> Floats:
        """Return the residuals that other readings of the same cells would leave: (1 - H) y for y of shape (N,).

        For the unit vector of a cell this is its column of the cofactor matrix of the residuals.
        """
        return self.fit.unexplained(reading)


def adjust(
    closure: Closure, offset: Ints | Runs, cells: Cells, group: Ints | None = None, groups: int = 0
) -> Adjustment:
    """Adjust the cells: every filled cell has weight one.

    Eliminating what a run shares leaves normal equations in the position errors of both circles. The mean of
    each circle is a matter of definition and set to zero; whatever else the readings leave open is found and
    reported as not determined, never filled in.

    Parameters
    ----------
    closure : Closure
        The model.
    offset : (runs,) int array or Runs
        Offset of each run, all of them round the whole circle; or how each run goes.
    cells : Cells
        Filled cells, arc seconds.
    group : (N,) int array, optional
        Group of each cell, with a constant (and drift) of its own; by default its run.
    groups : int, optional
        How many groups there are, where the last may hold no cell: their constants are not determined.

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
    runs = Runs.of(closure, offset)
    check(closure, runs, cells)
    grouped = Grouped.of(closure, max(len(runs), groups), cells, group)
    owner, base = grouped.owner, grouped.base
    design = rows(closure, *runs.setting(cells.run, cells.step), owner, cells.step)
    equations, columns = equations_of(closure, runs, design, len(base))
    solution = cofactor(equations, columns.sizes)
    fit = Fit.of(equations, solution, closure.polarity * grouped.reading)

    rank = solution.rank + equations.elimination.rank
    freedom = len(cells) - rank
    residual = _scatter(closure, closure.polarity * fit.residual, grouped)
    constant, drift = _shared(columns, fit, base)
    lower, *upper = (
        Circle.of(*_main(columns, which, fit.theta, solution)) for which in range(len(columns.sizes))
    )
    return Adjustment(
        closure=closure,
        runs=runs,
        columns=columns,
        lower=lower,
        upper=upper[0] if upper else None,
        reference=_reference(columns, fit, base),
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


def _scatter(closure: Closure, residual: Floats, grouped: Grouped) -> Floats:
    """Return the residuals, all 0 where they are no more than what rounding of the arithmetic leaves."""
    if not residual.size:
        return residual
    arithmetic = 1e-14 * closure.fine * float(np.abs(grouped.reading).max())
    written = 2 * np.finfo(float).eps * float(np.abs(grouped.base).max(initial=0.0))
    return residual if np.abs(residual).max() > arithmetic + written else np.zeros_like(residual)


def _about_main(columns: Columns, circle: int, theta: Floats, solution: Cofactor) -> tuple[Floats, Cofactor]:
    """Return the unknowns of a circle about the mean of its n positions, and their cofactor."""
    where = columns.where(circle)
    error, part = theta[where], solution.part(where.start, where.stop)
    if columns.closure.subdivision == 1:
        return error, part
    main = columns.main(circle)
    return error - error[main].mean(), part.about(main)


def _main(columns: Columns, circle: int, theta: Floats, solution: Cofactor) -> tuple[Floats, Cofactor]:
    """Return the errors of a circle at its n positions about their mean, and their cofactor."""
    error, part = _about_main(columns, circle, theta, solution)
    if columns.closure.subdivision == 1:
        return error, part
    main = columns.main(circle)
    return error[main], part.take(main)


def _shared(columns: Columns, fit: Fit, base: Floats) -> tuple[Values, Values]:
    """Return the constants and drifts of the groups, not determined where the model has none."""
    closure, nothing = columns.closure, Values.nothing(len(base))
    if not closure.dual or not closure.shared_terms:
        return nothing, nothing
    level = _turned(fit.constants(columns.mean_row()), closure.polarity, base)
    if closure.reading == "interval":
        return nothing, level
    if closure.shared_terms == 1:
        return level, nothing
    return level, _turned(fit.slopes(), closure.polarity, np.zeros_like(base))


def _reference(columns: Columns, fit: Fit, base: Floats) -> Values:
    """Return x of a single closure, whose shared constant is -p x."""
    closure = columns.closure
    if closure.dual:
        return Values.nothing(0)
    return _turned(fit.constants(columns.mean_row()), -1, -closure.polarity * base)


def _turned(values: Values, polarity: int, base: Floats) -> Values:
    """Return values times the polarity, with their bases."""
    return Values(polarity * values.value + base, values.root)
