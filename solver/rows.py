"""The rows of the design: which unknowns enter each cell, and with which sign."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from solver.closure import Closure, Floats, Ints


@dataclass(frozen=True, slots=True)
class Rows:
    """Design rows of N cells over theta = (beta[0 … n-1], alpha[0 … n-1]), or beta alone for one circle.

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
    size : int
        p, the length of theta.
    """

    index: Ints
    sign: Floats
    group: Ints
    time: Floats
    size: int

    def __len__(self) -> int:
        return len(self.group)

    def times(self, theta: Floats) -> Floats:
        """Return A theta for theta of shape (p,) or (p, d): shape (N,) or (N, d)."""
        total = np.zeros((len(self), *theta.shape[1:]))
        for sign, index in zip(self.sign, self.index, strict=True):
            total += sign * theta[index]
        return total

    def transposed_times(self, value: Floats) -> Floats:
        """Return A' value for value of shape (N,) or (N, d): shape (p,) or (p, d)."""
        total = np.zeros((self.size, *value.shape[1:]))
        for sign, index in zip(self.sign, self.index, strict=True):
            if value.ndim == 1:
                total += sign * np.bincount(index, value, self.size)
            elif len(index):
                order = np.argsort(index, kind="stable")
                first = np.flatnonzero(np.diff(index[order], prepend=-1))
                total[index[order][first]] += sign * np.add.reduceat(value[order], first)
        return total

    def gram(self) -> Floats:
        """Return A'A, shape (p, p), by counting pairs."""
        total = np.zeros(self.size**2)
        for sign, index in zip(self.sign, self.index, strict=True):
            for other, column in zip(self.sign, self.index, strict=True):
                np.add.at(total, index * self.size + column, sign * other)
        return total.reshape(self.size, self.size)

    def quadratic(self, matrix: Floats) -> Floats:
        """Return a' M a for each row a and symmetric M of shape (p, p), shape (N,)."""
        total = np.zeros(len(self))
        for i, index in enumerate(self.index):
            total += matrix[index, index]
            for j in range(i):
                total += 2 * self.sign[i] * self.sign[j] * matrix[index, self.index[j]]
        return total

    def by_group(self, matrix: Floats) -> Floats:
        """Return a' m for each row a, m being the column of its group in a matrix of shape (p, G): shape (N,)."""
        total = np.zeros(len(self))
        for sign, index in zip(self.sign, self.index, strict=True):
            total += sign * matrix[index, self.group]
        return total

    def take(self, which: Ints | slice) -> Rows:
        """Return the rows that `which` picks."""
        return Rows(self.index[:, which], self.sign, self.group[which], self.time[which], self.size)


@dataclass(frozen=True, slots=True)
class SameRow:
    """One row of any weights over theta for several groups, at step 0 of each; it answers as `Rows` do.

    Parameters
    ----------
    weight : (p,) array
        The row.
    group : (S,) int array
    """

    weight: Floats
    group: Ints

    def __len__(self) -> int:
        return len(self.group)

    @property
    def time(self) -> Floats:
        """The step of each, 0."""
        return np.zeros(len(self))

    def times(self, theta: Floats) -> Floats:
        """Return a' theta for theta of shape (p,) or (p, d): shape (S,) or (S, d)."""
        value = self.weight @ theta
        return np.tile(value, (len(self), *[1] * value.ndim))

    def quadratic(self, matrix: Floats) -> Floats:
        """Return a' M a, shape (S,)."""
        return np.full(len(self), self.weight @ matrix @ self.weight)

    def by_group(self, matrix: Floats) -> Floats:
        """Return a' m, m being the column of each group in a matrix of shape (p, G): shape (S,)."""
        return np.asarray((self.weight @ matrix)[self.group])

    def take(self, which: Ints | slice) -> SameRow:
        """Return what `which` picks."""
        return SameRow(self.weight, self.group[which])


def rows(closure: Closure, offset: Ints, step: Ints, group: Ints, time: Ints | None = None) -> Rows:
    """Build the design rows of settings.

    Parameters
    ----------
    closure : Closure
        The model.
    offset, step, group : (N,) int arrays
        Offset and step of each cell, and its group of common constant and drift.
    time : (N,) int array, optional
        Step within the run, the lever of a drift; by default `step`.
    """
    n = closure.fine
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
    return Rows(
        np.array(index),
        np.array(sign, dtype=float),
        np.asarray(group, dtype=np.int64),
        (step if time is None else np.asarray(time)).astype(float),
        closure.unknowns,
    )
