"""A second solution of the same problem, dense and constrained, that shares no line with the solver.

The design matrix is written out from the table of section 2 of the design document, one reading at a time; the mean
of each circle is held at zero by a basis of the space that obeys it; ranks and undetermined values come from a
singular value decomposition.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from solver.adjust import Adjustment, adjust
from solver.cells import Cells, gather
from solver.closure import Closure

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Case:
    """Readings of a session: the model, offsets of the runs, and (run, step, group, value) of each reading."""

    closure: Closure
    offset: NDArray[np.int64]
    run: NDArray[np.int64]
    step: NDArray[np.int64]
    value: Floats
    group: NDArray[np.int64]

    @property
    def groups(self) -> int:
        return max(len(self.offset), int(self.group.max(initial=-1)) + 1)

    @property
    def cells(self) -> Cells:
        return gather(self.run, self.step, self.value, runs=len(self.offset))

    @property
    def cell_group(self) -> NDArray[np.int64]:
        owner = {(r, t): g for r, t, g in zip(self.run, self.step, self.group, strict=True)}
        return np.array(
            [owner[r, t] for r, t in zip(self.cells.run, self.cells.step, strict=True)], dtype=int
        )

    def adjust(self) -> Adjustment:
        return adjust(self.closure, self.offset, self.cells, self.cell_group)

    def with_values(self, value: Floats, **change: Any) -> Case:
        given = {name: getattr(self, name) for name in ("closure", "offset", "run", "step", "group")}
        return Case(**(given | change), value=value)


def row(closure: Closure, offset: int, step: int, group: int, groups: int) -> Floats:
    """Return the row of one reading over (beta, alpha, constants, drifts), or (beta, x) for a single closure."""
    n, p = closure.positions, closure.polarity
    beta, alpha = np.zeros(n), np.zeros(n)
    constant, drift = np.zeros(groups), np.zeros(groups)
    t, k = step, offset
    if closure.kind == "single":
        beta[t % n] += p
        beta[(t - 1) % n] -= p
        return np.concatenate([beta, [-p]])
    if closure.reading == "position":
        beta[t % n] += p
        if closure.arrangement == "counter-rotating":
            alpha[(k - t) % n] += p
        else:
            alpha[(k + t) % n] -= p
        constant[group] = 1
        drift[group] = t
    else:
        beta[t % n] += p
        beta[(t - 1) % n] -= p
        j = (k - t + 1) % n if closure.arrangement == "counter-rotating" else (k + t) % n
        alpha[j] -= p
        alpha[(j - 1) % n] += p
        drift[group] = 1
    parts = [beta, alpha]
    if closure.reading == "position":
        parts.append(constant)
    if closure.drift == "linear":
        parts.append(drift)
    return np.concatenate(parts)


def matrix(closure: Closure, offset: Any, step: Any, group: Any, groups: int) -> Floats:
    """Return the design matrix of many readings."""
    settings = [(int(k), int(t), int(g)) for k, t, g in zip(offset, step, group, strict=True)]
    columns = len(row(closure, 0, 1, 0, groups))
    return np.array([row(closure, *setting, groups) for setting in settings]).reshape(len(settings), columns)


def mean_free(closure: Closure, columns: int) -> Floats:
    """Return an orthonormal basis of the parameters in which each circle has mean zero."""
    n = closure.positions
    circles = 1 if closure.kind == "single" else 2
    mean = np.zeros((columns, circles))
    for circle in range(circles):
        mean[circle * n : (circle + 1) * n, circle] = n**-0.5
    return np.linalg.qr(np.hstack([mean, np.eye(columns)]))[0][:, circles:]


@dataclass(frozen=True)
class Dense:
    """The dense solution: estimates, cofactor matrix, undetermined directions, and the space of fitted values."""

    case: Case
    design: Floats
    parameters: Floats
    cofactor: Floats
    loose: Floats
    span: Floats

    @property
    def rank(self) -> int:
        return len(self.span.T)

    @classmethod
    def of(cls, case: Case) -> Dense:
        cells = case.cells
        design = matrix(case.closure, case.offset[cells.run], cells.step, case.cell_group, case.groups)
        basis = mean_free(case.closure, design.shape[1])
        left, singular, right = np.linalg.svd(design @ basis, full_matrices=len(design) < basis.shape[1])
        threshold = 1e-9 * max(singular.max(initial=0.0), 1.0)
        rank = int(np.count_nonzero(singular > threshold))
        inverse = right[:rank].T / singular[:rank]
        value = cells.value + cells.base[cells.run]
        return cls(
            case,
            design,
            basis @ (inverse @ (left[:, :rank].T @ value)),
            basis @ inverse @ inverse.T @ basis.T,
            basis @ right[rank:].T,
            left[:, :rank],
        )

    @property
    def residual(self) -> Floats:
        cells = self.case.cells
        value = cells.value + cells.base[cells.run]
        return value - self.span @ (self.span.T @ value)

    @property
    def leverage(self) -> Floats:
        return np.asarray(np.einsum("ij,ij->i", self.span, self.span))

    def functions(self, rows: Floats) -> tuple[Floats, Floats]:
        """Return values and roots of linear functions of the parameters, nan outside the row space."""
        known = np.linalg.norm(rows @ self.loose, axis=1) < 1e-8
        root = np.sqrt(np.maximum(np.einsum("ij,jk,ik->i", rows, self.cofactor, rows), 0.0))
        return np.where(known, rows @ self.parameters, np.nan), np.where(known, root, np.nan)

    def circle(self, start: int) -> dict[str, tuple[Floats, Floats]]:
        """Return the three kinds of errors of the circle that begins at a column."""
        n = self.case.closure.positions
        each = np.eye(self.design.shape[1])[start : start + n]
        return {
            "position": self.functions(each),
            "from_first": self.functions(each - each[0]),
            "interval": self.functions(np.roll(each, -1, axis=0) - each),
        }

    def block(self, start: int) -> tuple[Floats, Floats]:
        """Return values and roots of the parameters of all groups from a column on."""
        return self.functions(np.eye(self.design.shape[1])[start : start + self.case.groups])

    def predict(self, offset: Any, step: Any, group: Any) -> tuple[Floats, Floats]:
        return self.functions(matrix(self.case.closure, offset, step, group, self.case.groups))
