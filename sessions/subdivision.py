"""Finer steps: arcs of a circle, each one interval long, put into a plan after the runs round the circle."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from math import sqrt

import numpy as np

from sessions.amend import amended, refuse_outside
from sessions.bench_time import Pace
from sessions.design import MOST_SUBDIVISION, Arc, Design
from sessions.header import Header, header_table, read_header
from sessions.session import Session
from solver.arc_plan import USUAL_COUNT, ArcOutlook, arc_outlook, propose
from solver.refused import Refused


@dataclass(frozen=True, slots=True)
class Subdivided:
    """What the runs over arcs cost, and what the whole plan gives with them.

    Parameters
    ----------
    design : Design
        With the arcs.
    cells, readings : int
        Of the runs over arcs alone; readings count repeats.
    hours, hours_together : float
        Bench time of these runs, and of the whole plan.
    outlook : ArcOutlook
        Variances with every cell of the plan filled, in units of that of a cell.
    """

    design: Design
    cells: int
    readings: int
    hours: float
    hours_together: float
    outlook: ArcOutlook

    @property
    def total_readings(self) -> int:
        """Readings of the whole plan, those round the circle included."""
        return self.design.planned_cells * self.design.repeats

    @property
    def complete_readings(self) -> int:
        """Readings of the complete closure of all fine positions, without closing readings: (n m)² in each way."""
        return self.design.fine**2 * self.design.ways * self.design.repeats

    def worst(self, deviation: float) -> float:
        """Return u of the worst lower position inside the arcs from position 0; nan where one is not determined."""
        return deviation * sqrt(self.outlook.lower.from_first_worst)


def coarse(design: Design) -> Design:
    """Return the plan of the runs round the circle alone."""
    return replace(design, subdivision=1, arcs=())


def refuse_finer(header: Header) -> None:
    """Refuse finer steps where they mean nothing or cannot be read.

    Raises
    ------
    Refused
        For a single closure, readings by "interval", and a polygon.
    """
    design = header.design
    if design.closure == "single":
        raise Refused(
            "this session reads one circle, and finer steps need two",
            where="design.closure",
            remedy="begin a session of two circles, closure dual",
        )
    if design.reading != "position":
        raise Refused(
            'this session reads by "interval", and finer steps need "position"',
            where="design.reading",
            remedy='begin a session with reading "position"',
        )
    if any(circle is not None and circle.kind == "polygon" for circle in (header.lower, header.upper)):
        raise Refused(
            "a polygon has no steps between its faces",
            where="upper.kind",
            remedy="divide the intervals of two index tables, rotary tables or encoders",
        )


def divided(design: Design, subdivision: int, intervals: Iterable[int], offsets: Iterable[int]) -> Design:
    """Return a plan with runs over arcs, in place of any arcs that it had.

    The arc of interval a begins with the lower circle at fine position a m; at offset k the upper one then stands at
    k - a m (face by face at k + a m), by the formula of every reading, so that with one offset the mirror keeps
    facing the instrument from arc to arc. Runs are ordered by arc and then by offset: an arc begun is finished, and
    runs of one arc stand side by side on the screen.

    Parameters
    ----------
    design : Design
        The plan; its runs round the circle stay.
    subdivision : int
        m, fine steps in an interval.
    intervals : iterable of int
        Which intervals, 0 … n-1: interval a begins at position a. Each counts once, in rising order.
    offsets : iterable of int
        Of the runs over each arc, in fine steps, in the order given.

    Raises
    ------
    Refused
        For figures that make no plan, each with a remedy.
    """
    n = design.positions
    if not 2 <= subdivision <= MOST_SUBDIVISION:
        raise Refused(
            f"an interval cannot be divided into {subdivision} fine steps",
            where="subdivision",
            remedy=f"use 2 to {MOST_SUBDIVISION}",
        )
    chosen, shifts = sorted(set(intervals)), tuple(offsets)
    for at in chosen:
        if not 0 <= at < n:
            raise Refused(
                f"there is no arc {at}", where="arcs", remedy=f"arcs are numbered 0 to {n - 1}, or say all"
            )
    if not chosen or not shifts:
        what, where = ("arc", "arcs") if not chosen else ("arc offset", "arc offsets")
        raise Refused(f"there is no {what}", where=where, remedy=f"give one {what} or more")
    for offset in shifts:
        if not 0 <= offset < n * subdivision:
            raise Refused(
                f"arc offset {offset} is not on the circle",
                where="arc offsets",
                remedy=f"use 0 to {n * subdivision - 1} fine steps",
            )
    arcs = tuple(Arc(at * subdivision, offset) for at in chosen for offset in shifts)
    made = replace(design, subdivision=subdivision, arcs=arcs)
    return read_header(header_table(Header(made))).design


def proposed(design: Design, subdivision: int, count: int = USUAL_COUNT) -> tuple[int, ...]:
    """Return good offsets for the runs over an arc, see `solver.arc_plan.propose`."""
    if not 2 <= subdivision <= MOST_SUBDIVISION:
        raise Refused(
            f"an interval cannot be divided into {subdivision} fine steps",
            where="subdivision",
            remedy=f"use 2 to {MOST_SUBDIVISION}",
        )
    closure = replace(design, subdivision=subdivision, arcs=(Arc(0, 0),)).model()
    runs = np.repeat(np.array(design.offsets, dtype=np.int64), design.ways)
    return propose(closure, runs, count, closing=design.closing)


def weigh_arcs(design: Design, pace: Pace | None = None) -> Subdivided:
    """Weigh a plan with arcs, every cell filled."""
    closure = design.model()
    found = arc_outlook(closure, design.courses(closure), closing=design.closing)
    plain = coarse(design)
    each = pace or Pace()
    cells = design.planned_cells - plain.planned_cells
    together = each.hours(design)
    return Subdivided(design, cells, cells * design.repeats, together - each.hours(plain), together, found)


def with_arcs(
    header: Header, subdivision: int, intervals: Iterable[int], offsets: Iterable[int], *, held: bool = False
) -> Design:
    """Return the plan of a session with further arcs: after those that it has, if these are as finely divided.

    Arcs at the same subdivision stay, and what is in the plan already is not added twice. Arcs at another one give
    way, unless they are held: readings are recorded over them.

    Raises
    ------
    Refused
        Where finer steps cannot be read, for figures that make no plan, where arcs are held at another subdivision, or
        where nothing would be added.
    """
    refuse_finer(header)
    design = header.design
    if held and subdivision != design.subdivision:
        raise Refused(
            f"arcs are read in {design.subdivision} fine steps an interval, and cannot be divided otherwise",
            where="subdivision",
            remedy=f"divide by {design.subdivision} again, or begin a new session",
        )
    made = divided(design, subdivision, intervals, offsets)
    if subdivision != design.subdivision or not design.arcs:
        return made
    more = tuple(arc for arc in made.arcs if arc not in design.arcs)
    if not more:
        raise Refused(
            "all of these runs are in the plan already", where="arcs", remedy="choose other arcs or offsets"
        )
    return read_header(header_table(Header(replace(design, arcs=design.arcs + more)))).design


def subdivide(
    session: Session, subdivision: int, intervals: Iterable[int], offsets: Iterable[int], reason: str
) -> None:
    """Record that arcs are read in fine steps, after the runs round the circle.

    Raises
    ------
    Refused
        As `with_arcs` does, and where the session takes no entries.
        Nothing has then changed.
    """
    header = session.header
    old = header.design
    new = with_arcs(header, subdivision, intervals, offsets, held=begun(session) > 0)
    steps: list[tuple[str, object]] = []
    if new.subdivision != old.subdivision:
        if old.arcs:
            steps.append(("design.arcs", []))
        steps.append(("design.subdivision", new.subdivision))
    steps.append(("design.arcs", [[arc.start, arc.offset] for arc in new.arcs]))
    # All of it is tried on the header first, so that no half of it is ever recorded.
    for field, value in steps:
        header = amended(header, field, value)
        refuse_outside(session.matrix, header, field)
    for field, value in steps:
        session.amend(field, value, reason)


def begun(session: Session) -> int:
    """Return how many arcs of the plan, from its first, reach to the last that holds a reading or a split."""
    design = session.header.design
    held = [run for run, _ in (*session.matrix.places, *session.matrix.splits) if run >= design.whole_runs]
    return (max(held) - design.whole_runs) // design.ways + 1 if held else 0


def unread(session: Session) -> int:
    """Return how many arcs can be taken back: those at the end of the plan that hold nothing."""
    return len(session.header.design.arcs) - begun(session)


def take_back(session: Session, reason: str) -> None:
    """Record that the arcs at the end of the plan that hold nothing are not read after all.

    Raises
    ------
    Refused
        Where there is none, or the session takes no entries; nothing has then changed.
    """
    if not unread(session):
        raise Refused(
            "no arc can be taken back: each holds readings, or there is none",
            where="design.arcs",
            remedy="leave them in the plan; readings that should not count can be struck",
        )
    kept = session.header.design.arcs[: begun(session)]
    session.amend("design.arcs", [[arc.start, arc.offset] for arc in kept], reason)


def read_intervals(text: str, positions: int) -> tuple[int, ...]:
    """Read which arcs are meant: "all", or numbers with blanks or commas between."""
    if text.strip().lower() == "all":
        return tuple(range(positions))
    return read_wholes(text, "arcs", "say all, or numbers like 0 3")


def read_wholes(text: str, where: str, remedy: str) -> tuple[int, ...]:
    """Read whole numbers with blanks or commas between."""
    parts = text.replace(",", " ").split()
    for part in parts:
        if not (part.isascii() and part.isdecimal()) or len(part) > 9:
            raise Refused(f"“{part}” is no whole number", where=where, remedy=remedy)
    return tuple(int(part) for part in parts)
