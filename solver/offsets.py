"""The best offsets for a number of runs."""

from __future__ import annotations

from math import gcd

import numpy as np

from solver.closure import Closure
from solver.offset_search import Problem, search
from solver.refused import Refused
from solver.variance import determines


def best_offsets(closure: Closure, runs: int) -> tuple[int, ...]:
    """Return the offsets of `runs` runs with the least variance of a position that the search finds.

    Parameters
    ----------
    closure : Closure
        The model.
    runs : int
        m. More than n means whole complete closures and the best offsets for the rest; a single closure
        repeats 0.

    Returns
    -------
    tuple of int
        Rising, the first 0, never a set that leaves an error undetermined; the same for the same arguments.
        Of sets that are alike but for turning (and, by "position", multiplying by a number prime to n) the
        first in order, as far as there are not too many to compare.

    Raises
    ------
    Refused
        For fewer than two offsets of a dual closure, which determine nothing.
    """
    n = closure.positions
    if not closure.dual:
        return (0,) * runs
    if runs < 2:
        raise Refused("one offset determines neither circle", where="offsets", remedy="use 2 offsets or more")
    whole, rest = divmod(runs, n)
    complete = tuple(range(n)) * whole
    if rest == 0:
        return tuple(sorted(complete))
    # Away from f = 0 a set and its complement have the same |D[f]|, so the smaller one is searched.
    smaller = min(rest, n - rest)
    problem = Problem.of(closure, runs, smaller)
    members = search(problem)
    if smaller < rest:
        members = np.setdiff1d(np.arange(n), members)
    return tuple(sorted(complete + problem.first_alike(members)))


def checked_offsets(closure: Closure, offsets: tuple[int, ...]) -> tuple[int, ...]:
    """Return offsets that a person gave, or refuse those that no session could use.

    Raises
    ------
    Refused
        For an offset outside 0 … n-1, and for offsets that leave errors undetermined.
    """
    n = closure.positions
    for offset in offsets:
        if not 0 <= offset < n:
            raise Refused(
                f"there is no offset {offset} on a circle of {n} positions",
                where="offsets",
                remedy=f"use offsets from 0 to {n - 1}",
            )
    if determines(closure, offsets):
        return offsets
    shared = gcd(n, *(k - offsets[0] for k in offsets)) if offsets else n
    what = (
        f"these offsets leave errors open: their differences and {n} positions share the factor {shared}"
        if len(set(offsets)) > 1
        else "one offset determines neither circle"
    )
    near = " ".join(str(k) for k in best_offsets(closure, max(2, len(offsets))))
    raise Refused(what, where="offsets", remedy=f"use {near}")
