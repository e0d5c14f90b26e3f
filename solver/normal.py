"""The normal equations of the circles' errors, solved, and what they leave undetermined."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from solver.closure import Floats
from solver.rows import Rows

#: An eigenvalue below this part of the largest is an undetermined direction. The entries of a closure's design are
#: 0 and ±1: genuine eigenvalues lie above 1e-6 of the largest for circles of up to 1440 positions (offsets 0 and 1
#: alone: 1 - cos(2 pi / n)), those of undetermined directions at some 1e-15.
NEGLIGIBLE_EIGENVALUE = 1e-9


@dataclass(frozen=True, slots=True)
class Cofactor:
    """Cofactor matrix of the position errors about the mean of each circle.

    Parameters
    ----------
    matrix : (p, p) array
        Inverse of the normal matrix on all that is determined, 0 along what is not.
    null : (p, d) array
        Orthonormal undetermined directions, each orthogonal to the means of the circles.
    rank : int
        Rank of the normal matrix.
    """

    matrix: Floats
    null: Floats
    rank: int

    def part(self, start: int, stop: int) -> Cofactor:
        """Return what concerns theta[start:stop]."""
        return Cofactor(self.matrix[start:stop, start:stop], self.null[start:stop], self.rank)


def cofactor(design: Rows, shared: Floats, size: int, positions: int) -> Cofactor:
    """Invert the normal matrix S = A'A - A'Q Q'A as far as the readings determine it.

    Adding h u u' for the mean u of each circle, a null vector of S in every closure, makes S definite exactly where
    the readings determine all errors, and changes no result: what was added is taken off the inverse again.

    Parameters
    ----------
    design : Rows
        N rows over theta.
    shared : (terms, size, G) array
        Overlap A'Q of the rows with the terms eliminated.
    size, positions : int
        Length of theta, and of each circle.
    """
    normal = _gram(design, size)
    for overlap in shared:
        normal -= overlap @ overlap.T
    circles = size // positions
    weight = max(float(np.trace(normal)) / size, 1.0)
    block = np.full((positions, positions), 1.0 / positions)
    means = np.kron(np.eye(circles), block)
    definite = normal + weight * means

    matrix = _inverse(definite)
    if matrix is not None:
        null, rank = np.zeros((size, 0)), size - circles
    else:
        eigenvalue, vector = np.linalg.eigh(definite)
        known = eigenvalue > NEGLIGIBLE_EIGENVALUE * eigenvalue[-1]
        matrix = (vector[:, known] / eigenvalue[known]) @ vector[:, known].T
        null, rank = vector[:, ~known], int(np.count_nonzero(known)) - circles
    return Cofactor(matrix - means / weight, null, rank)


def _inverse(definite: Floats) -> Floats | None:
    """Return the inverse, or None where the matrix is singular or too close to it to say."""
    try:
        np.linalg.cholesky(definite)
        inverse = np.linalg.inv(definite)
    except np.linalg.LinAlgError:
        return None
    condition = np.abs(definite).sum(axis=0).max() * np.abs(inverse).sum(axis=0).max()
    return inverse if condition < 1 / NEGLIGIBLE_EIGENVALUE else None


def _gram(design: Rows, size: int) -> Floats:
    """Return A'A by counting pairs."""
    total = np.zeros(size * size)
    for sign, index in zip(design.sign, design.index, strict=True):
        for other, column in zip(design.sign, design.index, strict=True):
            total += sign * other * np.bincount(index * size + column, minlength=size * size)
    return total.reshape(size, size)
