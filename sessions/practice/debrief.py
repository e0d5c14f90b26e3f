"""The end of a practice session: the truth beside what was solved, and what was missed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np

from sessions.analysis import Analysis
from sessions.budget import freedom_of_scatter
from sessions.practice.bench import PracticeBench, Taken
from sessions.practice.slips import Slip
from sessions.practice.stack import Tooth
from sessions.session import Session
from solver.closure import Flags, Floats, Ints
from solver.coverage import USUAL_PROBABILITY, coverage_factor

Fate = Literal["put right", "flagged", "kept", "missed"]


@dataclass(frozen=True, slots=True)
class CircleTruth:
    """One circle, arc seconds, errors about the mean of its n positions.

    Parameters
    ----------
    name : str
        "lower" or "upper".
    at : (M,) int array
        Positions, the same of both circles: 0 … n-1; with arcs the fine positions at which a run stops on either.
    true, solved, expanded : (M,) arrays
        True and solved errors, and the expanded uncertainty of the solved ones; nan where not determined or not read.
    """

    name: str
    at: Ints
    true: Floats
    solved: Floats
    expanded: Floats

    @property
    def known(self) -> Flags:
        """Where error and uncertainty are determined."""
        return np.isfinite(self.solved) & np.isfinite(self.expanded)

    @property
    def inside(self) -> Flags:
        """Where the true error lies within U of the solved one."""
        with np.errstate(invalid="ignore"):
            return np.asarray(np.abs(self.solved - self.true) <= self.expanded)


@dataclass(frozen=True, slots=True)
class Outcome:
    """A slip that happened and what became of it.

    Parameters
    ----------
    slip : Slip
        The slip.
    readings : tuple of Taken
        The readings that it spoilt, in the order typed.
    fate : str
        "put right": none of them counts any more as it was, or a knock has a constant of its own; "flagged": some
        count, and the program says so; "kept": some were kept on purpose; "missed": some count, unsuspected.
    """

    slip: Slip
    readings: tuple[Taken, ...]
    fate: Fate


@dataclass(frozen=True, slots=True)
class Debrief:
    """What a practice session came to.

    Parameters
    ----------
    circles : tuple of CircleTruth
        Lower first.
    probability : float
        With which U is stated.
    turn : int
        Positions to the circle, fine ones where there are arcs.
    slips : tuple of Outcome
        Slips that happened.
    mistyped : tuple of Taken
        Readings that count and are neither what was shown nor what should have been.
    struck : tuple of Taken
        Readings that were struck though nothing was wrong with them.
    tooth : Tooth or None
        The lazy tooth.
    deviation : float
        True standard deviation of a cell away from the tooth, drift apart, arc seconds.
    found : float
        The one that the residuals give; nan without a degree of freedom.
    to_read : int
        Planned cells that have no reading.
    """

    circles: tuple[CircleTruth, ...]
    probability: float
    turn: int
    slips: tuple[Outcome, ...]
    mistyped: tuple[Taken, ...]
    struck: tuple[Taken, ...]
    tooth: Tooth | None
    deviation: float
    found: float
    to_read: int

    @property
    def inside(self) -> int:
        """How many true errors lie within U."""
        return sum(int(circle.inside.sum()) for circle in self.circles)

    @property
    def known(self) -> int:
        """How many errors are determined, with an uncertainty."""
        return sum(int(circle.known.sum()) for circle in self.circles)

    @property
    def missed(self) -> tuple[Outcome, ...]:
        """Slips that spoil the result and that nobody noticed."""
        return tuple(each for each in self.slips if each.fate == "missed")


def debrief(session: Session, analysis: Analysis) -> Debrief:
    """Lay the truth beside a practice session.

    Parameters
    ----------
    session : Session
        A simulated one.
    analysis : Analysis
        Of its newest readings, screened.

    Raises
    ------
    Refused
        Where the session is not simulated.
    """
    bench = PracticeBench(session)
    stack, taken = bench.stack, bench.taken
    outcomes = tuple(_outcome(session, analysis, slip, spoilt) for slip, spoilt in _spoilt(taken).items())
    knocked = {each.slip.run for each in outcomes if each.slip.kind == "knocked"}
    return Debrief(
        circles=_circles(analysis, {"lower": stack.lower_fine, "upper": stack.upper_fine}),
        probability=USUAL_PROBABILITY,
        turn=analysis.adjustment.closure.fine,
        slips=outcomes,
        mistyped=tuple(
            each
            for each in taken
            if _counts(session, each) and each.reading.value not in (each.shown.value, each.shown.right)
        ),
        struck=tuple(
            each
            for each in taken
            if not _counts(session, each)
            and each.shown.slip is None
            and each.reading.value == each.shown.value
            and each.reading.run not in knocked
        ),
        tooth=stack.tooth,
        deviation=stack.cell_deviation,
        found=np.nan if analysis.deviation_accepted else analysis.deviation,
        to_read=session.header.design.planned_cells - len(analysis.cells),
    )


def _factor(analysis: Analysis) -> float:
    """Return the coverage factor by the degrees of freedom behind the standard deviation; nan where there are none."""
    freedom = freedom_of_scatter(analysis)
    return float(coverage_factor(freedom)) if freedom > 0 else np.nan


def _circles(analysis: Analysis, truths: Mapping[str, Floats]) -> tuple[CircleTruth, ...]:
    """Lay the truth, (n m,) of each circle, beside what is measured at every place where a run stops."""
    factor = _factor(analysis) * analysis.deviation
    measured = {name: analysis.adjustment.measured(name) for name, _ in analysis.circles}
    at = np.unique(np.concatenate([each.at for each in measured.values()]))
    found = []
    for name, each in measured.items():
        solved = each.position_at(at)
        found.append(CircleTruth(name, at, truths[name][at], solved.value, factor * solved.root))
    return tuple(found)


def _spoilt(taken: tuple[Taken, ...]) -> dict[Slip, tuple[Taken, ...]]:
    """Return the readings of each slip, in the order in which the slips happened."""
    found: dict[Slip, tuple[Taken, ...]] = {}
    for each in taken:
        if each.shown.slip is not None:
            found[each.shown.slip] = (*found.get(each.shown.slip, ()), each)
    return found


def _outcome(session: Session, analysis: Analysis, slip: Slip, spoilt: tuple[Taken, ...]) -> Outcome:
    left = tuple(each for each in spoilt if _counts(session, each) and each.reading.value == each.shown.value)
    split = slip.kind == "knocked" and (slip.run, slip.step) in session.matrix.splits
    if not left or split:
        return Outcome(slip, spoilt, "put right")
    entries = {each.reading.number for each in left}
    whole_run = slip.kind == "knocked"
    if any(flag.entry in entries or (whole_run and flag.run == slip.run) for flag in analysis.flags):
        return Outcome(slip, spoilt, "flagged")
    kept = any(_status(session, each) == "kept" for each in left)
    return Outcome(slip, spoilt, "kept" if kept else "missed")


def _counts(session: Session, taken: Taken) -> bool:
    return _status(session, taken) != "struck"


def _status(session: Session, taken: Taken) -> str:
    reading = session.matrix.reading(taken.reading.number)
    return "struck" if reading is None else reading.status
