"""The least-squares adjustment: both circles from the readings, with all that they do and do not determine."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from solver.cells import Cells
from solver.closure import Closure, Floats, Ints
from solver.elimination import Elimination
from solver.normal import Cofactor, cofactor
from solver.rows import Rows, rows


@dataclass(frozen=True, slots=True)
class Values:
    """Adjusted values and the roots of their cofactors; nan where the readings do not determine a value.

    A standard uncertainty (type A) is `root` times the standard deviation of one cell.
    """

    value: Floats
    root: Floats

    @property
    def determined(self) -> bool:
        """Whether every value is determined."""
        return bool(np.isfinite(self.value).all())


@dataclass(frozen=True, slots=True)
class Circle:
    """The errors of one circle, arc seconds, in the direction of rising numbers.

    Parameters
    ----------
    position : Values
        (n,) position errors about the mean of the circle.
    from_first : Values
        (n,) position errors from position 0; the first is 0 with root 0.
    interval : Values
        (n,) interval errors; entry j is the interval that ends at position j + 1 (modulo n).
    """

    position: Values
    from_first: Values
    interval: Values


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
    _terms: _SharedTerms

    @property
    def determined(self) -> bool:
        """Whether every error of every circle is determined."""
        return self.missing == 0

    def predict(self, offset: Ints, step: Ints, group: Ints) -> Values:
        """Predict cells at any settings, filled or not, with the bases of their groups.

        Returns
        -------
        Values
            (M,) arc seconds. The root is that of the adjusted value; a new cell scatters by a further 1 in square.
        """
        design = rows(self.closure, offset, step, group)
        return self._terms.evaluate(self, design)


def adjust(closure: Closure, offset: Ints, cells: Cells, group: Ints | None = None) -> Adjustment:
    """Adjust the cells: every filled cell has weight one.

    Eliminating what a run shares leaves normal equations in the position errors of both circles. The mean of each
    circle is a matter of definition and set to zero; whatever else the readings leave open is found by the
    eigenvalues and reported as not determined, never filled in.

    Parameters
    ----------
    closure : Closure
        The model.
    offset : (runs,) int array
        Offset of each run.
    cells : Cells
        Filled cells, arc seconds.
    group : (N,) int array, optional
        Group of each cell; by default its run.

    Returns
    -------
    Adjustment
        With nan for every value that is not determined.

    Notes
    -----
    Design document, section 2. Elimination of shared terms: Frisch and Waugh (1933), Lovell (1963).
    """
    offset = np.asarray(offset, dtype=np.int64)
    owner = cells.run if group is None else np.asarray(group, dtype=np.int64)
    if not closure.dual:
        owner = np.zeros(len(cells), dtype=np.int64)
        groups = 1
    else:
        groups = max(len(offset), int(owner.max()) + 1 if owner.size else 0)
    design = rows(closure, offset[cells.run], cells.step, owner)
    size = closure.positions * (2 if closure.dual else 1)
    elimination = Elimination.of(owner, design.time, groups, _shared_terms(closure))

    base = _bases(closure, cells, owner, groups)
    relative = closure.polarity * (cells.value + (cells.base[cells.run] - base[owner]))
    centred = elimination.project(relative, design.time)
    shared = elimination.shared(design, size)
    solution = cofactor(design, shared, size, closure.positions)

    theta = solution.matrix @ design.transposed_times(centred, size)
    residual = elimination.project(centred - design.times(theta), design.time)
    # One step of iterative refinement wins back what forming normal equations lost.
    theta += solution.matrix @ design.transposed_times(residual, size)
    residual = elimination.project(centred - design.times(theta), design.time)

    rank = solution.rank + elimination.rank
    freedom = len(cells) - rank
    deviation = float(np.sqrt(residual @ residual / freedom)) if freedom > 0 else np.nan
    level = elimination.components(relative - design.times(theta), design.time)
    terms = _SharedTerms(elimination, shared, level, base)
    leverage = terms.squared_root(solution, design) if len(cells) else np.zeros(0)
    lower, upper = _circles(closure, theta, solution)
    constant, drift = terms.constants(closure, solution)
    fitted = cells.value + cells.base[cells.run] - closure.polarity * residual
    return Adjustment(
        closure=closure,
        lower=lower,
        upper=upper,
        reference=_reference(closure, constant),
        constant=constant if closure.dual and closure.reading == "position" else _nothing(groups),
        drift=drift if closure.drift == "linear" else _nothing(groups),
        fitted=fitted,
        residual=closure.polarity * residual,
        leverage=leverage,
        rank=rank,
        degrees_of_freedom=freedom,
        standard_deviation=deviation,
        missing=solution.null.shape[1],
        theta=theta,
        cofactor=solution,
        _terms=terms,
    )


def _shared_terms(closure: Closure) -> int:
    """Return how many terms a group shares: none, a constant, or a constant and a slope."""
    if not closure.dual:
        return 1
    linear = closure.drift == "linear"
    if closure.reading == "interval":
        return 1 if linear else 0
    return 2 if linear else 1


def _bases(closure: Closure, cells: Cells, owner: Ints, groups: int) -> Floats:
    """Return what is taken off the readings of each group: its base where a constant absorbs it, else nothing."""
    base = np.zeros(groups)
    if len(cells) and _shared_terms(closure):
        present, first = np.unique(owner, return_index=True)
        base[present] = cells.base[cells.run[first]]
    return base


def _nothing(count: int) -> Values:
    return Values(np.full(count, np.nan), np.full(count, np.nan))


def _reference(closure: Closure, constant: Values) -> Values:
    """Return x of a single closure, whose shared constant is -p x."""
    if closure.dual:
        return Values(np.zeros(0), np.zeros(0))
    return Values(-closure.polarity * constant.value, constant.root)


def _circles(closure: Closure, theta: Floats, solution: Cofactor) -> tuple[Circle, Circle | None]:
    n = closure.positions
    lower = _circle(theta[:n], solution.part(0, n))
    return lower, _circle(theta[n:], solution.part(n, 2 * n)) if closure.dual else None


def _circle(error: Floats, part: Cofactor) -> Circle:
    """Gather the results of one circle from its (n,) errors and its part of the cofactor."""
    matrix, null = part.matrix, part.null
    variance = np.diag(matrix)
    after = np.roll(np.arange(len(error)), -1)
    difference = variance[after] + variance - 2 * matrix[after, np.arange(len(error))]
    from_first = variance + variance[0] - 2 * matrix[:, 0]
    from_first[0] = 0.0
    return Circle(
        _values(error, variance, null),
        _values(error - error[0], from_first, null - null[:1]),
        _values(error[after] - error, difference, null[after] - null),
    )


#: Components of undetermined directions below this are rounding: they are unit vectors over at most 2 n unknowns.
_NEGLIGIBLE = 1e-7


def _values(value: Floats, variance: Floats, null: Floats) -> Values:
    """Return values with nan where an undetermined direction, a row of `null`, moves them."""
    known = ~(np.abs(null) > _NEGLIGIBLE).any(axis=1)
    return Values(np.where(known, value, np.nan), np.where(known, np.sqrt(np.maximum(variance, 0.0)), np.nan))


@dataclass(frozen=True, slots=True)
class _SharedTerms:
    """What the groups share, put back after the circles are solved."""

    elimination: Elimination
    shared: Floats
    level: Floats
    base: Floats

    def overlap(self, functions: Floats, group: Ints) -> Floats:
        """Return the part of each row that its group's shared terms take out, shape (p, M)."""
        total = np.zeros((self.shared.shape[1], len(group)))
        for function, shared in zip(functions, self.shared, strict=True):
            total += function * shared[:, group]
        return total

    def squared_root(self, solution: Cofactor, design: Rows) -> Floats:
        """Return the squared root cofactor of fitted values, (M,), group by group through (p, G) products.

        With row a, basis functions q and overlap W the fitted value has the cofactor
        (a - W q)' P (a - W q) + q' q.
        """
        functions = self.elimination.basis(design.group, design.time)
        total = _quadratic(solution.matrix, design)
        seen = [solution.matrix @ shared for shared in self.shared]
        for i, function in enumerate(functions):
            cross = np.zeros(len(design.group))
            for sign, index in zip(design.sign, design.index, strict=True):
                cross += sign * seen[i][index, design.group]
            total += function**2 - 2 * function * cross
            for j, other in enumerate(functions):
                between = np.einsum("pg,pg->g", self.shared[i], seen[j])
                total += function * other * between[design.group]
        return np.asarray(np.maximum(total, 0.0))

    def evaluate(self, adjustment: Adjustment, design: Rows) -> Values:
        """Return the adjusted values at `design`, bases included."""
        solution = adjustment.cofactor
        functions = self.elimination.basis(design.group, design.time)
        value = design.times(adjustment.theta) + np.einsum("qm,qm->m", functions, self.level[:, design.group])
        variance = self.squared_root(solution, design)
        open_ = np.zeros(len(design.group), dtype=bool)
        for group in np.unique(design.group) if solution.null.shape[1] else ():
            here = np.flatnonzero(design.group == group)
            part = design.take(here)
            seen = self.overlap(functions[:, here], part.group).T @ solution.null
            open_[here] = (np.abs(part.times(solution.null) - seen) > _NEGLIGIBLE).any(axis=1)
        open_ |= ~self._spanned(design)
        value = adjustment.closure.polarity * value + self.base[design.group]
        return Values(np.where(open_, np.nan, value), np.where(open_, np.nan, np.sqrt(variance)))

    def _spanned(self, design: Rows) -> NDArrayBool:
        """Return whether the group's own terms are known at the design's steps."""
        elimination = self.elimination
        known = np.ones(len(design.group), dtype=bool)
        if elimination.terms:
            known = elimination.count[design.group] > 0
        if elimination.terms == 2:
            at_centre = design.time == elimination.centre[design.group]
            known &= (elimination.length[design.group] > 0) | at_centre
        return np.asarray(known)

    def constants(self, closure: Closure, solution: Cofactor) -> tuple[Values, Values]:
        """Return the constant at step 0 and the drift per step of each group."""
        groups = np.arange(len(self.base))
        start = np.zeros(len(groups)) if self.elimination.terms == 2 else self.elimination.centre
        at_zero = self.elimination.basis(groups, start)
        slope = np.zeros_like(at_zero)
        length = self.elimination.length
        if self.elimination.terms == 2:
            np.divide(1.0, length, out=slope[1], where=length > 0)
        constant = self._functional(at_zero, closure, solution, self.base)
        known = self.elimination.count > 0
        if self.elimination.terms == 2:
            known &= (length > 0) | (self.elimination.centre == 0)
        constant = _where(known, constant)
        if closure.reading == "interval" and closure.dual:
            return constant, constant
        return constant, _where(length > 0, self._functional(slope, closure, solution, np.zeros(len(groups))))

    def _functional(self, functions: Floats, closure: Closure, solution: Cofactor, base: Floats) -> Values:
        if not self.elimination.terms:
            return _nothing(len(self.base))
        groups = np.arange(len(self.base))
        overlap = self.overlap(functions, groups)
        value = closure.polarity * np.einsum("qg,qg->g", functions, self.level) + base
        variance = np.einsum("qg,qg->g", functions, functions)
        variance = variance + np.einsum("pg,pg->g", overlap, solution.matrix @ overlap)
        return _values(value, variance, overlap.T @ solution.null)


NDArrayBool = np.ndarray


def _where(known: NDArrayBool, values: Values) -> Values:
    return Values(np.where(known, values.value, np.nan), np.where(known, values.root, np.nan))


def _quadratic(matrix: Floats, design: Rows) -> Floats:
    """Return a' P a for each row a of the design, (N,)."""
    total = np.zeros(design.index.shape[1])
    for i, (sign, index) in enumerate(zip(design.sign, design.index, strict=True)):
        for j, (other, column) in enumerate(zip(design.sign, design.index, strict=True)):
            if j >= i:
                total += (1 if i == j else 2) * sign * other * matrix[index, column]
    return total
