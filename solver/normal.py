"""The normal equations of the circles' errors, inverted as far as the readings determine them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from solver.closure import Floats, Ints
from solver.equations import Equations
from solver.weak import examine

#: Up to this condition number (in the 1-norm) an inverse keeps ten digits; beyond, directions are examined.
SAFE_CONDITION = 1e6


@dataclass(frozen=True, slots=True)
class Cofactor:
    """Cofactor matrix of the position errors about the mean of each circle, and what is not determined.

    Parameters
    ----------
    strong : (p, p) array
        Inverse of the normal matrix along all that is well determined, 0 elsewhere.
    weak : (p, w) array
        Factor of the rest: the cofactor matrix is strong + weak weak'. Kept apart, because its elements can
        be so large that the small variance of a difference would drown in their rounding.
    null : (p, d) array
        Undetermined directions, orthonormal and orthogonal to the means of the circles over all unknowns.
    rank : int
        Rank of the normal matrix.
    """

    strong: Floats
    weak: Floats
    null: Floats
    rank: int

    @property
    def matrix(self) -> Floats:
        """The cofactor matrix, shape (p, p)."""
        return self.strong + self.weak @ self.weak.T

    def times(self, value: Floats) -> Floats:
        """Return the cofactor matrix times `value` of shape (p,) or (p, q)."""
        return self.strong @ value + self.weak @ (self.weak.T @ value)

    def part(self, start: int, stop: int) -> Cofactor:
        """Return what concerns theta[start:stop]."""
        here = slice(start, stop)
        return Cofactor(self.strong[here, here], self.weak[here], self.null[here], self.rank)

    def about(self, which: Ints) -> Cofactor:
        """Return the cofactor of all values less the mean of those at `which`, an int array."""
        across = self.strong[which].mean(axis=0)
        strong = self.strong - across - across[:, None] + across[which].mean()
        weak, null = (each - each[which].mean(axis=0) for each in (self.weak, self.null))
        return Cofactor(strong, weak, null, self.rank)

    def take(self, which: Ints) -> Cofactor:
        """Return what concerns the values at `which`, an int array."""
        return Cofactor(self.strong[np.ix_(which, which)], self.weak[which], self.null[which], self.rank)


def cofactor(equations: Equations, sizes: tuple[int, ...]) -> Cofactor:
    """Invert the normal matrix as far as the readings determine it.

    Adding h u u' for the mean u of each circle, a null vector in every closure, makes the matrix definite
    exactly where the readings determine all errors, and changes no result: what was added is taken off the
    inverse again.

    Parameters
    ----------
    equations : Equations
        In p unknowns.
    sizes : tuple of int
        Unknowns of each circle.
    """
    normal = equations.normal()
    size, circles = len(normal), len(sizes)
    weight = max(float(np.trace(normal)) / size, 1.0)
    _add_means(normal, sizes, weight)
    weak = null = np.zeros((size, 0))
    enough = len(equations.rows) - equations.elimination.rank >= size - circles
    strong = _inverse(normal) if enough else None
    if strong is None:
        strong, weak, null = examine(equations, normal)
    _add_means(strong, sizes, -1.0 / weight)
    return Cofactor(strong, weak, null, size - circles - null.shape[1])


def _add_means(matrix: Floats, sizes: tuple[int, ...], weight: float) -> None:
    """Add weight u u' for the unit vector u along the mean of each circle, in place."""
    start = 0
    for size in sizes:
        here = slice(start, start + size)
        matrix[here, here] += weight / size
        start += size


def _inverse(definite: Floats) -> Floats | None:
    """Return the inverse, or None where the matrix is singular or too close to it to say."""
    try:
        inverse = _by_halves(definite)
    except np.linalg.LinAlgError:
        return None
    condition = float(np.linalg.norm(definite, 1) * np.linalg.norm(inverse, 1))
    return inverse if condition < SAFE_CONDITION else None


def _by_halves(definite: Floats) -> Floats:
    """Return the inverse of a definite matrix, circle after circle: half the work of a general inverse."""
    half = len(definite) // 2
    across = definite[:half, half:]
    second = np.linalg.inv(definite[half:, half:])
    carried = across @ second
    inverse = np.empty_like(definite)
    first = np.linalg.inv(definite[:half, :half] - carried @ across.T)
    inverse[:half, :half] = first
    inverse[:half, half:] = -first @ carried
    inverse[half:, :half] = inverse[:half, half:].T
    inverse[half:, half:] = second - carried.T @ inverse[:half, half:]
    return inverse
