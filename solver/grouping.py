"""Which cells share a constant, and what is taken off their readings."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from solver.cells import Cells
from solver.closure import Closure, Floats, Ints


@dataclass(frozen=True, slots=True)
class Grouped:
    """The cells of a session by the groups that share a constant, or a drift, or both.

    Parameters
    ----------
    owner : (N,) int array
        Group of each cell; a single closure has but one.
    base : (G,) array
        What is taken off the readings of each group: a base where a constant absorbs it, else 0.
    reading : (N,) array
        Readings less the base of their group, arc seconds.
    """

    owner: Ints
    base: Floats
    reading: Floats

    @classmethod
    def of(cls, closure: Closure, least: int, cells: Cells, group: Ints | None) -> Grouped:
        """Group the cells by `group`, without it by their run, into `least` groups or more; some may hold no cell."""
        if not closure.dual:
            owner, groups = np.zeros(len(cells), dtype=np.int64), 1
        else:
            owner = cells.run if group is None else np.asarray(group, dtype=np.int64)
            groups = max(least, int(owner.max()) + 1 if owner.size else 0)
        base = np.zeros(groups)
        if closure.shared_terms:
            present, first = np.unique(owner, return_index=True)
            base[present] = cells.base[cells.run[first]]
        return cls(owner, base, cells.value + (cells.base[cells.run] - base[owner]))
