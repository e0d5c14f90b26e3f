"""The equations in the circles' errors alone: the rows of the design, less what each run shares."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from solver.closure import Floats
from solver.elimination import Elimination
from solver.rows import Rows, SameRow

#: Entries of the largest array that `Equations.blocks` makes.
BLOCK = 2_000_000


@dataclass(frozen=True, slots=True)
class Equations:
    """The reduced design M = (1 - Q Q') A, kept as its rows A and their overlap A'Q with the shared terms Q.

    A setting with row a over the unknowns and functions q over the shared terms of its group, whose overlap
    is W, has the reduced row a - W q. The rows of M are those of the cells themselves.

    Parameters
    ----------
    rows : Rows
        N rows over the p unknowns.
    elimination : Elimination
        Basis Q of the shared terms.
    overlap : (terms, p, G) array
        A'Q.
    """

    rows: Rows
    elimination: Elimination
    overlap: Floats

    @classmethod
    def of(cls, design: Rows, elimination: Elimination) -> Equations:
        """Form the overlap of the rows with the shared terms."""
        groups = elimination.groups
        overlap = np.zeros((len(elimination.scale), design.size * groups))
        for total, function in zip(overlap, elimination.functions, strict=True):
            for sign, index in zip(design.sign, design.index, strict=True):
                np.add.at(total, index * groups + design.group, sign * function)
        return cls(design, elimination, overlap.reshape(len(overlap), design.size, groups))

    def normal(self) -> Floats:
        """Return the normal matrix M'M = A'A - A'Q Q'A, shape (p, p)."""
        normal = self.rows.gram()
        for overlap in self.overlap:
            normal -= overlap @ overlap.T
        return normal

    def blocks(self, vectors: Floats) -> Iterator[tuple[slice, Floats]]:
        """Yield M V for V of shape (p, d), block by block of rows, each with its place."""
        return self.settings(vectors, self.rows, self.elimination.functions)

    def settings(
        self, vectors: Floats, design: Rows | SameRow, functions: Floats
    ) -> Iterator[tuple[slice, Floats]]:
        """Yield (a - W q)' V for each row a of a design with its functions q, block by block.

        Parameters
        ----------
        vectors : (p, d) array
            V.
        design : Rows
            S rows.
        functions : (terms, S) array
            Functions q of each row.
        """
        present, place = np.unique(design.group, return_inverse=True)
        shared = np.matmul(self.overlap[:, :, present].transpose(0, 2, 1), vectors)
        height = max(BLOCK // max(vectors.shape[1], 1), 1)
        for start in range(0, len(design), height):
            here = slice(start, start + height)
            total = design.take(here).times(vectors)
            for function, seen in zip(functions[:, here], shared, strict=True):
                total -= function[:, None] * seen[place[here]]
            yield here, total

    def gradient(self, vectors: Floats) -> Floats:
        """Return M'M V for V of shape (p, d) through the rows, free of the rounding of the normal matrix."""
        total = np.zeros_like(vectors)
        for here, part in self.blocks(vectors):
            total += self.rows.take(here).transposed_times(part)
        return total

    def lengths(self, vectors: Floats, design: Rows | SameRow, functions: Floats) -> Floats:
        """Return the length of (a - W q)' V for each row of a design, shape (S,)."""
        length = np.zeros(len(design))
        if not vectors.shape[1]:
            return length
        for here, part in self.settings(vectors, design, functions):
            length[here] = np.linalg.norm(part, axis=1)
        return length
