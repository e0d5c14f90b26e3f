"""A session read for a comparison: its results, and when they were measured."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np

from sessions.analysis import Analysis, analyse
from sessions.budget import Budget, budget_of, freedom_of_scatter
from sessions.equipment import Circle
from sessions.header import Header
from sessions.matrix import Snapshot
from sessions.same_circle import Which
from sessions.session import Session
from solver.closure import Floats
from solver.comparison import Measured
from solver.coverage import USUAL_PROBABILITY
from solver.linear import combine_linear
from solver.refused import Refused


@dataclass(frozen=True, slots=True, eq=False)
class Source:
    """A session that is to be compared.

    Parameters
    ----------
    file : str
        Its name, without the folder.
    analysis : Analysis
        Of its readings.
    date : datetime or None
        Mean time of the readings that count, else when the session was begun, if it is known.
    span : tuple of datetime
        Times of the first and the last of them; empty without any.
    notices : tuple of str
        What a person should know about the file.
    budget : Budget or None
        That of the session, for the usual coverage probability; without one the uncertainties are of type A.
    """

    file: str
    analysis: Analysis
    date: datetime | None
    notices: tuple[str, ...] = ()
    budget: Budget | None = None
    span: tuple[datetime, ...] = ()

    @property
    def header(self) -> Header:
        """The header with its amendments."""
        return self.analysis.header

    @property
    def positions(self) -> int:
        """Positions on each circle."""
        return self.header.design.positions

    def circle(self, which: Which) -> Circle:
        """Return the circle in that place."""
        circle = self.header.lower if which == "lower" else self.header.upper
        return circle or Circle()

    @property
    def freedom(self) -> float:
        """Degrees of freedom of the standard deviation behind the uncertainties; inf: known, nan: there is none."""
        if not np.isfinite(self.analysis.deviation):
            return float("nan")
        return freedom_of_scatter(self.analysis)

    def measured(self, which: Which) -> Measured:
        """Return the errors of a circle at all its positions.

        Raises
        ------
        Refused
            Where the readings do not determine all of them.
        """
        adjustment = self.analysis.adjustment
        circle = adjustment.upper if which == "upper" else adjustment.lower
        if circle is None or not circle.position.determined:
            missing = " ".join(self.analysis.missing).rstrip(".")
            raise Refused(
                f"the errors of the {which} circle are not determined yet",
                where=self.file,
                remedy=missing or "take the missing readings",
            )
        error, cofactor = circle.position.value, adjustment.part(which)[1].matrix
        deviation, freedom, budget = self.analysis.deviation, self.freedom, self.budget
        if budget is None:
            return Measured(error, cofactor, deviation, freedom)

        def expanded(rows: Floats) -> Floats:
            return combine_linear(
                which, rows, error, cofactor, deviation, freedom, budget.lines, budget.probability
            ).expanded

        return Measured(error, cofactor, deviation, freedom, expanded)


def load(path: Path) -> Source:
    """Read a session file, which is left as it is, and solve it.

    Raises
    ------
    Refused
        Where the file cannot be read, or a budget in it does not fit.
    """
    with Session.read(path) as session:
        snapshot, entries = session.matrix.snapshot(), session.entries
        notices = tuple(f"{path.name}: {notice}" for notice in session.notices)
    found = source_of(snapshot, path.name, notices)
    budget = budget_of(entries, found.positions)
    if budget is None:
        return found
    # E_n compares uncertainties of one coverage probability, whatever the certificates were asked for.
    return replace(found, budget=replace(budget, probability=USUAL_PROBABILITY))


def load_all(paths: Sequence[Path]) -> tuple[Source, ...]:
    """Read session files and solve them.

    Raises
    ------
    Refused
        Also where a file stands twice, since a session is not independent of itself.
    """
    if len({path.resolve() for path in paths}) < len(paths):
        raise Refused("a file stands twice in the comparison", remedy="name two different sessions")
    return tuple(load(path) for path in paths)


def source_of(snapshot: Snapshot, file: str, notices: tuple[str, ...] = ()) -> Source:
    """Solve a snapshot for a comparison."""
    times = [reading.time for cell in snapshot.cells.values() for reading in cell if reading.counts]
    if not times:
        return Source(file, analyse(snapshot), snapshot.header.created, notices)
    first, last = min(times), max(times)
    mean = first + sum((time - first for time in times), timedelta()) / len(times)
    return Source(file, analyse(snapshot), mean, notices, span=(first, last))
