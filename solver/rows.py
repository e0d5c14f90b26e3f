"""The rows of the design: which unknowns enter each cell, and with which sign."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from solver.closure import Closure, Floats, Ints


@dataclass(frozen=True, slots=True)
class Rows:
    """Design rows of N cells over theta = (beta[0 … n-1], alpha[0 … n-1]), or beta alone for a single closure.

    Every row holds the same K signs, polarity left out: the readings are multiplied by it instead.

    Parameters
    ----------
    index : (K, N) int array
        Columns of theta that enter.
    sign : (K,) array
        +1 or -1.
    group : (N,) int array
        Which constant (and drift) the cell shares with others; one group a run unless runs are split.
    time : (N,) array
        Step, the lever of the drift.
    """

    index: Ints
    sign: Floats
    group: Ints
    time: Floats

    def times(self, theta: Floats) -> Floats:
        """Return A theta for theta of shape (p,) or (p, q): shape (N,) or (N, q)."""
        total = self.sign[0] * theta[self.index[0]]
        for sign, index in zip(self.sign[1:], self.index[1:], strict=True):
            total += sign * theta[index]
        return total

    def transposed_times(self, value: Floats, size: int) -> Floats:
        """Return A' value, shape (size,), for value of shape (N,)."""
        total = np.zeros(size)
        for sign, index in zip(self.sign, self.index, strict=True):
            total += sign * np.bincount(index, value, size)
        return total

    def take(self, which: Ints | slice) -> Rows:
        """Return the rows that `which` picks."""
        return Rows(self.index[:, which], self.sign, self.group[which], self.time[which])


def rows(closure: Closure, offset: Ints, step: Ints, group: Ints) -> Rows:
    """Build the design rows of settings.

    Parameters
    ----------
    closure : Closure
        The model.
    offset, step, group : (N,) int arrays
        Offset and step of each cell, and its group of common constant and drift.
    """
    n = closure.positions
    step = np.asarray(step, dtype=np.int64)
    beta, alpha = closure.lower, closure.upper
    ahead = closure.upper_sign
    if not closure.dual:
        index, sign = [beta(step), beta(step - 1)], [1, -1]
    elif closure.reading == "position":
        index, sign = [beta(step), n + alpha(offset, step)], [1, ahead]
    else:
        index = [beta(step), beta(step - 1), n + alpha(offset, step), n + alpha(offset, step - 1)]
        sign = [1, -1, ahead, -ahead]
    return Rows(np.asarray(index), np.asarray(sign, dtype=float), np.asarray(group), step.astype(float))
