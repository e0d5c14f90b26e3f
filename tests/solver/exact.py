"""Exact arithmetic: ranks and row spaces modulo a prime, and least squares in fractions."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import numpy as np
from numpy.typing import NDArray

#: A rank modulo a prime is never too high, and too low only where the prime divides a minor of the design.
PRIME = 2_147_483_629


def null_space(matrix: Any) -> NDArray[np.int64]:
    """Return a basis of the null space of an integer matrix modulo the prime, as columns."""
    rest = np.array(matrix, dtype=np.int64) % PRIME
    columns = rest.shape[1]
    pivots: list[int] = []
    for column in range(columns):
        done = len(pivots)
        candidates = np.flatnonzero(rest[done:, column])
        if not candidates.size:
            continue
        pivot = done + int(candidates[0])
        rest[[done, pivot]] = rest[[pivot, done]]
        rest[done] = rest[done] * pow(int(rest[done, column]), PRIME - 2, PRIME) % PRIME
        others = np.flatnonzero(rest[:, column])
        others = others[others != done]
        rest[others] = (rest[others] - rest[others, column][:, None] * rest[done]) % PRIME
        pivots.append(column)
    free = [column for column in range(columns) if column not in set(pivots)]
    basis = np.zeros((columns, len(free)), dtype=np.int64)
    basis[free, range(len(free))] = 1
    basis[pivots] = -rest[: len(pivots), free] % PRIME
    return basis


def determined(functions: Any, basis: NDArray[np.int64]) -> NDArray[np.bool_]:
    """Return whether each integer linear function of the parameters vanishes on the null space."""
    loose = np.zeros(len(functions), dtype=bool)
    for column in basis.T:
        products = np.array(functions, dtype=np.int64) % PRIME * column % PRIME
        loose |= products.sum(axis=1) % PRIME != 0
    return ~loose


def least_squares(design: Any, value: list[Fraction], constraints: Any) -> tuple[list[Fraction], Any]:
    """Solve a full-rank least-squares problem with homogeneous constraints through its KKT system, in fractions.

    Returns
    -------
    parameters : list of Fraction
        The solution.
    cofactor : list of list of Fraction
        Its cofactor matrix: the upper left block of the inverse of the KKT matrix.
    """
    rows = [[Fraction(int(x)) for x in line] for line in design]
    fixed = [[Fraction(int(x)) for x in line] for line in constraints]
    p, c = len(rows[0]), len(fixed)
    normal = [
        [sum((r[i] * r[j] for r in rows if r[i] and r[j]), Fraction(0)) for j in range(p)] for i in range(p)
    ]
    system = [normal[i] + [f[i] for f in fixed] for i in range(p)] + [f + [Fraction(0)] * c for f in fixed]
    right = [sum((r[i] * y for r, y in zip(rows, value, strict=True)), Fraction(0)) for i in range(p)]
    size = p + c
    table = [
        line + [Fraction(int(i == j)) for j in range(size)] + [right[i] if i < p else Fraction(0)]
        for i, line in enumerate(system)
    ]
    for column in range(size):
        pivot = next(i for i in range(column, size) if table[i][column])
        table[column], table[pivot] = table[pivot], table[column]
        table[column] = [x / table[column][column] for x in table[column]]
        for i in range(size):
            if i != column and table[i][column]:
                factor = table[i][column]
                table[i] = [x - factor * y if y else x for x, y in zip(table[i], table[column], strict=True)]
    return [line[-1] for line in table[:p]], [line[size : size + p] for line in table[:p]]
