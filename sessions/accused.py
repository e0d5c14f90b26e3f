"""The readings that a flag speaks against."""

from __future__ import annotations

from sessions.flags import OF_A_RUN
from sessions.matrix import CellReading, Matrix, Snapshot
from solver.flags import Flag


def accused(flag: Flag, matrix: Matrix | Snapshot) -> tuple[int, ...]:
    """Return their entry numbers, of those that count.

    A run that is not what it is called is bad as a whole. A cell that the others do not bear out, while its repeats
    agree, was set wrongly, and all its readings with it; where one of them alone was mistyped the repeats disagree, or
    a slip explains it.
    """
    if flag.suggestion in OF_A_RUN:
        steps = matrix.header.design.steps_of(flag.run)
        return tuple(each.number for step in steps for each in _counting(matrix, flag.run, step))
    if flag.test == "residual" and flag.suggestion in (None, "neighbour"):
        return tuple(each.number for each in _counting(matrix, flag.run, flag.step))
    return (flag.entry,)


def _counting(matrix: Matrix | Snapshot, run: int, step: int) -> list[CellReading]:
    return [each for each in matrix.readings(run, step) if each.counts]
