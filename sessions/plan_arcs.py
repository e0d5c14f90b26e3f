"""What finer steps over arcs cost and give, beside the choices of offsets round the circle."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import sqrt
from typing import Any

from sessions.json_values import plain
from sessions.missing import loose_words
from sessions.plan import Plan
from sessions.subdivision import Subdivided, divided, proposed, read_intervals, weigh_arcs
from solver.arc_plan import Inside
from solver.refused import Refused


@dataclass(frozen=True, slots=True)
class WantedArcs:
    """Which arcs are to be read in fine steps.

    Parameters
    ----------
    subdivision : int
        Fine steps in an interval.
    arcs : str
        "all", or the numbers of intervals, from 0.
    offsets : tuple of int, optional
        Arc offsets in fine steps, instead of those proposed.
    """

    subdivision: int
    arcs: str = "all"
    offsets: tuple[int, ...] | None = None


@dataclass(frozen=True, slots=True)
class PlannedArcs:
    """Arcs weighed with one choice of offsets round the circle.

    Parameters
    ----------
    found : Subdivided
        What they cost and give.
    intervals : tuple of int
        Which arcs.
    offsets : tuple of int
        At which arc offsets each is read.
    loose : tuple of str
        What stays undetermined and what would help; empty where all is determined.
    complete_hours : float
        Bench time of the complete closure of all fine positions.
    """

    found: Subdivided
    intervals: tuple[int, ...]
    offsets: tuple[int, ...]
    loose: tuple[str, ...]
    complete_hours: float


def plan_arcs(plan: Plan, wanted: WantedArcs) -> PlannedArcs:
    """Weigh arcs with the offsets that were asked for, or else with the recommended ones.

    Raises
    ------
    Refused
        For figures that make no plan, and where two circles are not read by "position".
    """
    design = plan.wanted.design
    if design.closure != "dual" or design.reading != "position":
        raise Refused(
            'finer steps inside an arc are read by "position", one circle against the other',
            where="--subdivide",
            remedy="plan a dual closure by position",
        )
    design = replace(design, offsets=plan.wanted.offsets or plan.recommended.offsets)
    intervals = read_intervals(wanted.arcs, design.positions)
    offsets = wanted.offsets
    if offsets is None:
        # Whatever is wrong with the arcs is said before offsets are looked for, which takes its time.
        divided(design, wanted.subdivision, intervals, (0,))
        offsets = proposed(design, wanted.subdivision)
    made = divided(design, wanted.subdivision, intervals, offsets)
    found = weigh_arcs(made, plan.wanted.pace)
    pace, fine = plan.wanted.pace, made.fine
    complete = fine * made.ways * fine * pace.cell(made.repeats) + fine * pace.offset
    return PlannedArcs(
        found,
        tuple(dict.fromkeys(arc.start // wanted.subdivision for arc in made.arcs)),
        tuple(dict.fromkeys(arc.offset for arc in made.arcs)),
        loose_words(made, found.outlook),
        complete / 3600,
    )


def arcs_table(planned: PlannedArcs, deviation: float) -> dict[str, Any]:
    """Return the arcs as JSON has them: angles in arc seconds, None for what is not determined."""
    found = planned.found
    design, outlook = found.design, found.outlook
    table = {
        "subdivision": design.subdivision,
        "fine_positions": design.fine,
        "arcs": list(planned.intervals),
        "arc_offsets": list(planned.offsets),
        "offsets": list(design.offsets),
        "runs": len(design.arcs) * design.ways,
        "cells": found.cells,
        "readings": found.readings,
        "hours": found.hours,
        "total_readings": found.total_readings,
        "complete_readings": found.complete_readings,
        "complete_hours": planned.complete_hours,
        "determined": outlook.determined,
        "undetermined": outlook.missing,
        "remedies": list(planned.loose),
        "degrees_of_freedom": outlook.degrees_of_freedom,
        "lower": _inside(outlook.lower, deviation),
        "upper": _inside(outlook.upper, deviation),
    }
    return {key: plain(value) for key, value in table.items()}


def _inside(inside: Inside, deviation: float) -> dict[str, Any]:
    table: dict[str, object] = {
        "positions": len(inside.at),
        "undetermined": len(inside.loose),
        "from_first_worst_variance_factor": inside.from_first_worst,
        "about_mean_variance_factor": inside.about_mean,
        "from_first_worst_standard_uncertainty": deviation * sqrt(inside.from_first_worst),
        "about_mean_standard_uncertainty": deviation * sqrt(inside.about_mean),
    }
    return {key: plain(value) for key, value in table.items()}
