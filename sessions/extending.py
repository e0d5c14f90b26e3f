"""Which offset to add to a session in progress, given what is already read, gaps included."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from sessions.analysis import Analysis, groups_of
from sessions.bench_time import Pace
from sessions.design import Design
from sessions.session import Session
from sessions.subdivision import begun, coarse
from solver.cells import Cells, gather
from solver.closure import Ints
from solver.extend import extend
from solver.refused import Refused

#: Candidates shown: the best of them.
SHOWN = 12


@dataclass(frozen=True, slots=True)
class Uncertainty:
    """Root mean standard uncertainty of a position error about the mean; nan where one is not determined.

    Parameters
    ----------
    lower, upper : float
        Of each circle, arc seconds where the standard deviation of a cell is known, else in units of it.
        `upper` is nan for a single closure.
    """

    lower: float
    upper: float


@dataclass(frozen=True, slots=True)
class Candidate:
    """One offset that could be added.

    Parameters
    ----------
    offset : int
        The offset.
    then : Uncertainty
        After it, every new cell filled.
    missing : int
        Directions left undetermined after it.
    readings : int
        Readings that it takes, repeats and closing readings included.
    hours : float
        Bench time that it takes.
    unread : tuple of int
        Planned runs at this offset of which nothing is read yet: to read these comes first.
    """

    offset: int
    then: Uncertainty
    missing: int
    readings: int
    hours: float
    unread: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Outlook:
    """What one more offset would give.

    Parameters
    ----------
    design : Design
        As it stands.
    now : Uncertainty
        By what is counted as read.
    missing : int
        Directions undetermined now.
    deviation : float
        Standard deviation of a cell, arc seconds, behind the uncertainties; nan: these are in units of it.
    to_read : int
        Planned cells that have no reading yet.
    planned : bool
        Whether these count as read.
    candidates : tuple of Candidate
        The best, best first.
    """

    design: Design
    now: Uncertainty
    missing: int
    deviation: float
    to_read: int
    planned: bool
    candidates: tuple[Candidate, ...]


def outlook(analysis: Analysis, *, planned: bool = False, shown: int = SHOWN) -> Outlook:
    """Weigh what one more offset would give.

    Parameters
    ----------
    analysis : Analysis
        Of the readings so far.
    planned : bool, optional
        Whether to take planned cells without a reading as read.
    shown : int, optional
        How many candidates to return.

    Returns
    -------
    Outlook
        Of the runs round the circle alone: runs over arcs join the positions inside an arc to those at its ends, and
        an offset more is weighed by what it does for these.
    """
    design = coarse(analysis.header.design)
    closure = design.model(analysis.header.instrument.polarity)
    offset = np.array([run.offset for run in design.runs], dtype=np.int64)
    read = _round_the_circle(analysis.cells, design)
    cells = _all_cells(design) if planned else read
    splits = tuple((run, step) for run, step in analysis.splits if run < design.run_count)
    group = groups_of(cells, splits, len(offset))
    each = design.ways
    found = extend(closure, offset, cells, group, closing=design.closing, runs=each)
    deviation = analysis.deviation
    scale = deviation if np.isfinite(deviation) and deviation > 0 else 1.0
    one = replace(design, offsets=(0,))
    touched = set(read.run.tolist())
    candidates = tuple(
        Candidate(
            offset=int(found.offset[place]),
            then=_uncertainty(found.lower[place], found.upper[place], scale),
            missing=int(found.missing[place]),
            readings=one.planned_cells * one.repeats,
            hours=Pace().hours(one),
            unread=tuple(
                run.number
                for run in design.runs
                if run.offset == found.offset[place] and run.number not in touched and not planned
            ),
        )
        for place in found.order[:shown]
    )
    return Outlook(
        design=design,
        now=_uncertainty(found.lower_now, found.upper_now, scale),
        missing=found.missing_now,
        deviation=float(deviation) if scale == deviation else np.nan,
        to_read=design.planned_cells - len(read),
        planned=planned,
        candidates=candidates,
    )


def reason_words(candidate: Candidate, found: Outlook, stated: Callable[[float], str]) -> str:
    """Return why an offset would be added: what it determines, what it lowers, or else what it checks.

    Parameters
    ----------
    candidate, found : Candidate, Outlook
        The offset, and what it was weighed in.
    stated : callable
        Returns an uncertainty with its unit.
    """
    if found.missing > candidate.missing:
        return "leaves less undetermined" if candidate.missing else "determines every error"
    now, then = found.now, candidate.then
    known = [pair for pair in ((now.lower, then.lower), (now.upper, then.upper)) if np.isfinite(pair).all()]
    if not known:
        return "checks the readings there are, and determines no further error"
    before, after = (max(values) for values in zip(*known, strict=True))
    return f"lowers u of a position from {stated(before)} to {stated(after)}"


def add_offset(session: Session, offset: int, reason: str) -> None:
    """Record that one more offset is read.

    Raises
    ------
    Refused
        Where runs over arcs are begun, which come after those round the circle, or the session takes no entries;
        nothing has then changed.
    """
    if begun(session):
        raise Refused(
            "runs over arcs are begun, and no further offset can come before them",
            where="design.offsets",
            remedy="read further arcs or arc offsets instead, or begin a new session",
        )
    session.amend("design.offsets", [*session.header.design.offsets, offset], reason)


def removable(session: Session) -> int | None:
    """Return the last offset if it can be taken away: it is not the only one, and it and all arcs hold nothing."""
    design = session.header.design
    offsets = design.offsets
    first = design.whole_runs - design.ways
    held = {run for run, _ in (*session.matrix.places, *session.matrix.splits)}
    return offsets[-1] if len(offsets) > 1 and not any(run >= first for run in held) else None


def remove_offset(session: Session, reason: str) -> None:
    """Record that the last offset is not read after all.

    Raises
    ------
    Refused
        Where it or an arc after it holds readings, it is the only one, or the session takes no entries; nothing has
        then changed.
    """
    if removable(session) is None:
        raise Refused(
            "the last offset cannot be taken away: it or an arc after it holds readings, or it is the only one",
            where="design.offsets",
            remedy="leave it in the plan; readings that should not count can be struck",
        )
    session.amend("design.offsets", list(session.header.design.offsets[:-1]), reason)


def _uncertainty(lower: float, upper: float, scale: float) -> Uncertainty:
    return Uncertainty(float(np.sqrt(lower)) * scale, float(np.sqrt(upper)) * scale)


def _round_the_circle(cells: Cells, design: Design) -> Cells:
    """Return the filled cells of the runs round the circle."""
    if not (cells.run >= design.run_count).any():
        return cells
    kept = cells.run < design.run_count
    return gather(cells.run[kept], cells.step[kept], cells.value[kept], runs=design.run_count)


def _all_cells(design: Design) -> Cells:
    """Return every planned cell; only the places count."""
    steps = np.array(design.steps, dtype=np.int64)
    run: Ints = np.repeat(np.arange(design.run_count, dtype=np.int64), len(steps))
    step: Ints = np.tile(steps, design.run_count)
    return gather(run, step, np.zeros(len(run)), runs=design.run_count)
