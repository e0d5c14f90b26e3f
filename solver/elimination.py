"""What a run shares, its constant and its drift, taken out of the equations before they are solved."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from solver.closure import Floats, Ints
from solver.rows import Rows


@dataclass(frozen=True, slots=True)
class Elimination:
    """Orthonormal basis of the terms shared within each of G groups: none, a constant, or a constant and a slope.

    Projecting on the complement of these terms leaves equations in the circles' errors alone with the same solution,
    residuals and leverages (the Frisch-Waugh-Lovell theorem), and centres the readings on the way.

    Parameters
    ----------
    group : (N,) int array
        Group of each cell.
    terms : int
        0, 1 or 2 shared terms.
    count : (G,) array
        Cells in each group.
    centre : (G,) array
        Mean step of the group.
    length : (G,) array
        Root of the summed squares of the steps about their mean, 0 where no slope can be told.
    """

    group: Ints
    terms: int
    count: Floats
    centre: Floats
    length: Floats

    @classmethod
    def of(cls, group: Ints, time: Floats, groups: int, terms: int) -> Elimination:
        """Build the basis for cells in `group` at steps `time`."""
        count = np.bincount(group, minlength=groups).astype(float)
        centre = np.bincount(group, time, groups) / np.maximum(count, 1)
        length = np.zeros(groups)
        if terms == 2:
            length = np.sqrt(np.bincount(group, (time - centre[group]) ** 2, groups))
        return cls(group, terms, count, centre, length)

    @property
    def rank(self) -> int:
        """Number of shared terms that the cells determine."""
        constants = int(np.count_nonzero(self.count)) if self.terms else 0
        return constants + (int(np.count_nonzero(self.length)) if self.terms == 2 else 0)

    def basis(self, group: Ints, time: Floats) -> Floats:
        """Return the basis functions of `group` at `time`, shape (terms, N); 0 where there is no such function."""
        functions = np.zeros((self.terms, len(group)))
        if self.terms:
            count = self.count[group]
            np.divide(1.0, np.sqrt(count), out=functions[0], where=count > 0)
        if self.terms == 2:
            length = self.length[group]
            np.divide(time - self.centre[group], length, out=functions[1], where=length > 0)
        return functions

    def components(self, value: Floats, time: Floats) -> Floats:
        """Return the components of (N,) values along the basis, shape (terms, G)."""
        return np.array(
            [np.bincount(self.group, q * value, len(self.count)) for q in self.basis(self.group, time)]
        ).reshape(self.terms, len(self.count))

    def project(self, value: Floats, time: Floats) -> Floats:
        """Return (N,) values with the shared terms taken out."""
        if self.terms:
            # A constant far larger than the scatter leaves a remainder in the first pass.
            mean = np.bincount(self.group, value, len(self.count)) / np.maximum(self.count, 1)
            value = value - mean[self.group]
        if self.terms == 2:
            slope = self.basis(self.group, time)[1]
            value = value - slope * np.bincount(self.group, slope * value, len(self.count))[self.group]
        return value

    def shared(self, design: Rows, size: int) -> Floats:
        """Return A' Q, the overlap of the circles' columns with the basis, shape (terms, size, G)."""
        groups = len(self.count)
        overlap = np.zeros((self.terms, size * groups))
        for q, total in zip(self.basis(design.group, design.time), overlap, strict=True):
            for sign, index in zip(design.sign, design.index, strict=True):
                total += sign * np.bincount(index * groups + design.group, q, size * groups)
        return overlap.reshape(self.terms, size, groups)
