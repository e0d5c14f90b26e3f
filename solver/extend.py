"""Which offset helps most next, given what is already read, gaps included."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from solver.cells import Cells
from solver.closure import Closure, Floats, Ints
from solver.elimination import Elimination
from solver.equations import Equations
from solver.normal import Cofactor, cofactor
from solver.rows import Rows, rows
from solver.variance import integration, power

#: Positions up to which every offset is weighed; beyond, as many as take about as long, by the formula.
EVERY = 144
#: Components of undetermined directions below this are rounding: these are unit vectors of at most 2 n.
NEGLIGIBLE = 1e-7


@dataclass(frozen=True, slots=True)
class Extension:
    """What one more offset will give, for each of K candidates; variances in units of that of one cell.

    Parameters
    ----------
    offset : (K,) int array
        The candidates, rising.
    missing : (K,) int array
        Directions left undetermined after it.
    lower, upper : (K,) arrays
        Mean variance of a position error about the mean of the circle after it; nan where a position is left
        undetermined. `upper` is nan for a single closure.
    missing_now : int
        Directions undetermined by what is read so far.
    lower_now, upper_now : float
        Mean variances of what is read so far.
    """

    offset: Ints
    missing: Ints
    lower: Floats
    upper: Floats
    missing_now: int
    lower_now: float
    upper_now: float

    @property
    def order(self) -> Ints:
        """Indices of the candidates, best first: fewest undetermined, least variance, smallest offset."""
        both = np.array([self.lower, self.upper])
        known = np.isfinite(both)
        total = np.where(known, both, 0.0).sum(axis=0) / np.maximum(known.sum(axis=0), 1)
        total = np.where(known.any(axis=0), total, np.inf)
        finite = total[np.isfinite(total)]
        # Candidates alike by symmetry differ in the last digits: they count as equal.
        scale = finite.min() * 1e-9 if finite.size and finite.min() > 0 else 1.0
        return np.lexsort((self.offset, np.round(total / scale), self.missing)).astype(np.int64)

    @property
    def best(self) -> int:
        """The offset that helps most."""
        return int(self.offset[self.order[0]])


def extend(
    closure: Closure,
    offset: Ints,
    cells: Cells,
    group: Ints | None = None,
    *,
    closing: bool = True,
    runs: int = 1,
    candidates: Ints | None = None,
) -> Extension:
    """Weigh offsets for the next run by the exact cofactor after one complete run more.

    Parameters
    ----------
    closure, offset, cells, group
        As given to `solver.adjust.adjust`; only the places of the cells count, not their values.
    closing : bool
        Whether the new run ends with a closing reading ("position" only).
    runs : int
        Runs made at the new offset: 2 for forward and return.
    candidates : (K,) int array, optional
        Offsets to weigh. By default all on circles of up to 144 positions; on larger ones those that come
        first when every run begun is taken for complete. A single closure has one candidate, 0.

    Returns
    -------
    Extension

    Notes
    -----
    The cofactor is that of the normal equations with the terms of each run eliminated, formed anew for each
    candidate: a run more is a change of rank n - 1, which no update does in less.
    """
    offset = np.asarray(offset, dtype=np.int64)
    if not closure.dual:
        owner = np.zeros(len(cells), dtype=np.int64)
    else:
        owner = cells.run if group is None else np.asarray(group, dtype=np.int64)
    if candidates is None:
        begun = offset[np.unique(cells.run)] if len(cells) else np.zeros(0, dtype=np.int64)
        chosen = _candidates(closure, begun, runs)
    else:
        chosen = np.unique(np.asarray(candidates, dtype=np.int64))
    groups = int(owner.max()) + 1 if owner.size else 0
    read = rows(closure, offset[cells.run], cells.step, owner)
    steps = np.arange(closure.first_step, closure.last_step(closing) + 1)

    missing = np.zeros(len(chosen), dtype=np.int64)
    means = np.zeros((2, len(chosen)))
    for place, candidate in enumerate(chosen):
        step = np.tile(steps, runs)
        new = (
            groups + np.repeat(np.arange(runs), len(steps)) if closure.dual else np.zeros(len(step), np.int64)
        )
        more = rows(closure, np.full(len(step), candidate), step, new)
        missing[place], means[0, place], means[1, place] = _outlook(
            closure, _joined(read, more), groups + runs
        )
    now = _outlook(closure, read, groups)
    return Extension(chosen, missing, means[0], means[1], *now)


def _candidates(closure: Closure, begun: Ints, runs: int) -> Ints:
    n = closure.positions
    if not closure.dual:
        return np.zeros(1, dtype=np.int64)
    every = np.arange(n)
    if n <= EVERY:
        return every
    cost = np.array([_formula(closure, (*begun.tolist(), *[k] * runs)) for k in range(n)])
    keep = max(2, EVERY**4 // n**3)
    return np.sort(np.lexsort((every, np.round(cost / cost.min(), 9)))[:keep])


def _formula(closure: Closure, offsets: tuple[int, ...]) -> float:
    """Return the closed form of `solver.variance`, large but finite where a frequency is left open."""
    m = len(offsets)
    gap = m - power(closure.positions, offsets)[1:] / m
    return float(np.sum(integration(closure) / np.maximum(gap, 1e-9)))


def _joined(first: Rows, second: Rows) -> Rows:
    return Rows(
        np.concatenate([first.index, second.index], axis=1),
        first.sign,
        np.concatenate([first.group, second.group]),
        np.concatenate([first.time, second.time]),
        first.size,
    )


def _outlook(closure: Closure, design: Rows, groups: int) -> tuple[int, float, float]:
    """Return the directions left undetermined and the mean variances of lower and upper positions."""
    n = closure.positions
    elimination = Elimination.of(design.group, design.time, groups, closure.shared_terms)
    solution = cofactor(Equations.of(design, elimination), (n, n) if closure.dual else (n,))
    upper = _mean(solution.part(n, 2 * n)) if closure.dual else np.nan
    return solution.null.shape[1], _mean(solution.part(0, n)), upper


def _mean(part: Cofactor) -> float:
    """Return the mean variance of a circle, nan where a position of it is not determined."""
    if (np.abs(part.null) > NEGLIGIBLE).any():
        return np.nan
    return float((np.trace(part.strong) + np.sum(part.weak**2)) / len(part.strong))
