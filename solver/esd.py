"""Several bad cells at once: the generalized extreme studentized deviate test over an adjustment."""

from __future__ import annotations

import numpy as np

from solver.closure import Floats
from solver.deleted import NOT_PREDICTED, Accepted, Residuals, Scale
from solver.quantile import student
from solver.suspects import Guilty, Search, Step, Suspect

#: Cells examined in any case, where there are enough, so that bad cells that hide each other are reached.
DEPTH = 10

#: Degrees of freedom for each hidden cell that is found at the plain level; see `_Forward.step`.
SAFE = 30

#: By how much the level is lowered for hidden cells beyond that.
HIDDEN = 10

#: A search that could not have found this many says nothing about the scatter as a whole.
FEW = 4

#: Rounds of exchanging cells at most.
EXCHANGES = 10

#: A cell is a rival of a guilty one if its guilt makes the readings no less than 1/20 as likely.
RIVAL = float(np.log(20.0))


def generalized_esd(
    left: Residuals,
    level: float = 0.05,
    accepted: Accepted | None = None,
    least: float = 0.0,
    most: int | None = None,
    planned: int = 0,
) -> Search:
    """Find the cells that do not belong, however many they are.

    Strike the cell that stands out most, take its part out of all residuals, and judge again. The set is
    closed at the last step that is significant, so that bad cells hiding each other are found together. Then
    each is put back in turn, the others struck, and cleared if it fits: no good cell struck on the way stays
    accused.

    Parameters
    ----------
    left : Residuals
        As `solver.case.Solved.left`.
    level : float
        Probability of accusing any cell of a clean session: each is tested at this level over the number of
        cells that others predict.
    accepted : Accepted, optional
        Standard deviation of one cell known beforehand.
    least : float
        Least variance, see `Scale`.
    most : int, optional
        How many cells to examine; by default as many as the cells and their degrees of freedom bear.
    planned : int
        Cells that the session will hold. While there are fewer, each is tested at the level over this number, so
        that a session that is judged after every reading does not raise the more false alarms.

    Notes
    -----
    Rosner (1983), Technometrics 25, 165-172, carried over from a sample to a regression by the externally
    studentized residual; for a sample each step decides exactly as Rosner's R and lambda do.
    """
    forward = _Forward(left, Scale(left.squares, left.freedom, accepted, least), level, planned)
    depth, ceiling = _limits(left, accepted) if most is None else (most, most)
    safe = most or (left.freedom + (accepted.freedom if accepted is not None else 0.0)) / SAFE
    last = 0
    while len(forward.steps) < depth and forward.step(last, safe):
        if forward.steps[-1].statistic > forward.steps[-1].critical:
            last = len(forward.steps)
            depth = min(max(depth, last + 3), ceiling)
    found, remaining, evidence = forward.clear([step.cell for step in forward.steps[:last]])
    return Search(tuple(forward.steps), found, remaining, evidence, last >= ceiling >= FEW)


def _limits(left: Residuals, accepted: Accepted | None) -> tuple[int, int]:
    """Return how many cells to examine in any case, and how many at most."""
    cells = int(np.count_nonzero(left.redundancy > NOT_PREDICTED))
    pooled = left.freedom + (accepted.freedom if accepted is not None else 0.0)
    # With the scatter drawn from few residuals, striking the largest makes the rest look too good.
    ceiling = int(max(1, min(cells / 6, left.freedom / 2, pooled / 4)))
    return min(DEPTH, ceiling), ceiling


class _Forward:
    """The state of the search: residuals and redundancies with the cells so far struck."""

    def __init__(self, left: Residuals, scale: Scale, level: float, planned: int) -> None:
        self.left = left
        self.scale = scale
        self.level = level
        self.planned = planned
        self.residual = left.residual.copy()
        self.redundancy = left.redundancy.copy()
        self.tests = int(np.count_nonzero(left.redundancy > NOT_PREDICTED))
        self.now = scale
        self.columns: dict[int, Floats] = {}
        self.roots: list[Floats] = []
        self.steps: list[Step] = []

    def step(self, last: int, safe: float) -> bool:
        """Strike the cell that stands out most; False where no cell can be judged.

        The scatter drawn from few degrees of freedom shrinks as the largest residuals are struck, so beyond
        a depth of `safe` a cell that was hidden by others, `last` being significant, must stand out more.
        """
        if not self.tests or self.now.freedom < 1:
            return False
        gain = _gain(self.residual, self.redundancy)
        cell = int(gain.argmax())
        if gain[cell] < 0:
            return False
        variance, freedom = self.now.without(float(gain[cell]))
        if freedom <= 0:
            return False
        struck = len(self.steps)
        level = self.level if struck in (0, last) or struck < safe else self.level / HIDDEN
        critical = self._critical(struck, freedom, level)
        self.steps.append(Step(cell, float(np.sqrt(gain[cell] / variance)), critical, freedom))
        self._strike(cell)
        return True

    def clear(self, members: list[int]) -> tuple[tuple[Guilty, ...], Scale, float]:
        """Put each member back in turn and clear those that fit, the best first."""
        members = self._exchanged(members)
        while members:
            error, root, remaining = self._predicted(members)
            variance, freedom = remaining.without(0.0, 0)
            statistic = np.abs(error) / (root * np.sqrt(variance))
            critical, strong = (
                self._critical(len(members) - 1, freedom, level) for level in (self.level, self.level / 5)
            )
            best = int(statistic.argmin())
            if statistic[best] > critical:
                found = [
                    Guilty(
                        Suspect(cell, float(error[i]), float(root[i])),
                        float(statistic[i]),
                        critical,
                        bool(statistic[i] > strong),
                        self._rivals(members, cell, remaining),
                    )
                    for i, cell in enumerate(members)
                ]
                found.sort(key=lambda guilty: -guilty.statistic)
                return tuple(found), remaining, self._evidence(members)
            members = self._exchanged(members[:best] + members[best + 1 :])
        return (), self.scale, 0.0

    def _exchanged(self, members: list[int]) -> list[int]:
        """Return the members with each exchanged for a cell that explains more, as long as there is one.

        The cell that stands out most need not be a bad one while several are mixed up in few degrees of freedom.
        """
        members = list(members)
        for _ in range(EXCHANGES):
            before = list(members)
            for i, cell in enumerate(members):
                gain = _gain(*self._conditional([each for each in members if each != cell]))
                best = int(gain.argmax())
                if gain[best] > gain[cell] * (1 + 1e-9) and len(members) > 1:
                    members[i] = best
                    if best not in self.columns:
                        self.columns[best] = self.left.column(best)
            if members == before:
                break
        return members

    def _predicted(self, members: list[int]) -> tuple[Floats, Floats, Scale]:
        """Return each member minus its prediction by all but the members, its root, and what is left."""
        block = np.linalg.inv(np.array([self.columns[i][members] for i in members]))
        inner = self.left.residual[members]
        error = block @ inner
        return error, np.sqrt(np.diag(block)), self.scale.struck(float(inner @ error), len(members))

    def _conditional(self, others: list[int]) -> tuple[Floats, Floats]:
        """Return residuals and redundancies with some cells struck, 0 at these."""
        residual, redundancy = self.left.residual, self.left.redundancy
        if not others:
            return residual, redundancy
        columns = np.array([self.columns[i] for i in others])
        solved = np.linalg.solve(columns[:, others], columns)
        residual = residual - residual[others] @ solved
        redundancy = redundancy - np.einsum("in,in->n", columns, solved)
        residual[others] = redundancy[others] = 0.0
        return residual, redundancy

    def _critical(self, struck: int, freedom: float, level: float) -> float:
        # With one degree of freedom all cells tell of the same contradiction.
        tests = 1 if self.scale.freedom - struck == 1 else max(self.tests - struck, 1)
        return float(student(level / 2 / max(tests, self.planned - struck), freedom))

    def _strike(self, cell: int) -> None:
        """Take the part of one cell out of all residuals: one step of a Cholesky factorization of I - H."""
        column = self.left.column(cell)
        self.columns[cell] = column
        for root in self.roots:
            column = column - root * root[cell]
        root = column / np.sqrt(self.redundancy[cell])
        share = self.residual[cell] / np.sqrt(self.redundancy[cell])
        self.residual -= share * root
        self.redundancy -= root**2
        self.redundancy[cell] = self.residual[cell] = 0.0
        self.now = self.now.struck(float(share**2))
        self.roots.append(root)

    def _evidence(self, members: list[int]) -> float:
        """Return the gain in evidence; each cell costs as much as makes it just significant."""
        total, before = 0.0, self.scale
        for count in range(1, len(members) + 1):
            after = self._predicted(members[:count])[2]
            variance, freedom = after.without(0.0, 0)
            price = self._critical(count - 1, freedom, self.level) ** 2 * variance
            total += float(before.evidence(before.squares, after.squares + price))
            before = after
        return total

    def _rivals(self, members: list[int], cell: int, remaining: Scale) -> tuple[Suspect, ...]:
        residual, redundancy = self._conditional([each for each in members if each != cell])
        gain = _gain(residual, redundancy)
        behind = np.maximum(gain[cell] - gain, 0.0)
        lost = remaining.evidence(remaining.squares + behind, remaining.squares)
        near = np.flatnonzero((gain >= 0) & (lost < RIVAL))
        return tuple(
            Suspect(int(i), float(residual[i] / redundancy[i]), float(1 / np.sqrt(redundancy[i])))
            for i in near[np.argsort(lost[near], kind="stable")]
            if i != cell
        )


def _gain(residual: Floats, redundancy: Floats) -> Floats:
    """Return by how much the squares fall if each cell is struck; -1 where the others do not predict it."""
    testable = redundancy > NOT_PREDICTED
    gain = np.full(len(residual), -1.0)
    np.divide(residual**2, redundancy, out=gain, where=testable)
    return gain
