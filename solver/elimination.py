"""What a run shares, its constant and its drift, taken out of the equations before they are solved."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from solver.closure import Flags, Floats, Ints


@dataclass(frozen=True, slots=True)
class Elimination:
    """Orthonormal basis of what the cells of a group share: nothing, a constant, or a constant and a slope.

    Projecting on the complement of these terms leaves equations in the circles' errors alone with the same
    solution, residuals and leverages (Frisch and Waugh 1933, Lovell 1963), and centres the readings on the
    way.

    Parameters
    ----------
    group : (N,) int array
        Group of each cell, of G groups.
    centre : (G,) array
        Mean step of each group.
    scale : (terms, G) array
        Heights of the basis functions, the constant's and the slope's per step; 0 where the cells of a group
        cannot tell the term.
    functions : (terms, N) array
        The basis functions at the cells.
    """

    group: Ints
    centre: Floats
    scale: Floats
    functions: Floats

    @classmethod
    def of(cls, group: Ints, time: Floats, groups: int, terms: int) -> Elimination:
        """Build the basis of 0, 1 or 2 terms for cells in `group`, of `groups`, at steps `time`."""
        count = np.bincount(group, minlength=groups).astype(float)
        centre = np.bincount(group, time, groups) / np.maximum(count, 1)
        squares = np.zeros((terms, groups))
        if terms:
            squares[0] = count
        if terms == 2:
            squares[1] = np.bincount(group, (time - centre[group]) ** 2, groups)
        scale = np.divide(1.0, np.sqrt(squares), out=np.zeros_like(squares), where=squares > 0)
        return cls(group, centre, scale, _functions(group, time, centre, scale))

    @property
    def groups(self) -> int:
        """G, the number of groups, empty ones included."""
        return len(self.centre)

    @property
    def rank(self) -> int:
        """Number of shared terms that the cells determine."""
        return int(np.count_nonzero(self.scale))

    def basis(self, group: Ints, time: Floats) -> Floats:
        """Return the basis functions of `group` at steps `time`, shape (terms, M)."""
        return _functions(group, time, self.centre, self.scale)

    def spanned(self, group: Ints, time: Floats) -> Flags:
        """Return whether the cells of `group` tell its shared terms at steps `time`, shape (M,)."""
        known = np.ones(len(group), dtype=bool)
        if len(self.scale):
            known &= self.scale[0, group] > 0
        if len(self.scale) == 2:
            known &= (self.scale[1, group] > 0) | (time == self.centre[group])
        return known

    def components(self, value: Floats) -> Floats:
        """Return the components of (N,) values along the basis, shape (terms, G)."""
        components = np.zeros_like(self.scale)
        for i, function in enumerate(self.functions):
            components[i] = np.bincount(self.group, function * value, self.groups)
        return components

    def project(self, value: Floats) -> Floats:
        """Return (N,) values with the shared terms taken out.

        Twice, because a constant far larger than the scatter leaves rounding of its own size in the first
        pass.
        """
        for _ in range(2):
            for function in self.functions:
                component = np.bincount(self.group, function * value, self.groups)
                value = value - function * component[self.group]
        return value


def _functions(group: Ints, time: Floats, centre: Floats, scale: Floats) -> Floats:
    functions = scale[:, group]
    if len(scale) == 2:
        functions[1] *= time - centre[group]
    return functions
