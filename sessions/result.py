"""The result of a session as plain data, for `solve --json`."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from sessions.analysis import Analysis, CircleErrors, Estimate, uncertainty_of
from sessions.budget import expanded
from sessions.design import Design, Run
from sessions.entries import Entry
from sessions.json_values import number, numbers
from sessions.matrix import Snapshot
from solver.budget import Uncertainty
from solver.flags import Flag


def result(snapshot: Snapshot, analysis: Analysis, entries: Iterable[Entry] = ()) -> dict[str, Any]:
    """Return the result as it stands in the JSON contract: arc seconds, null for what is not determined.

    Parameters
    ----------
    snapshot : Snapshot
        The readings.
    analysis : Analysis
        Of the same snapshot.
    entries : iterable of Entry, optional
        Of the session: the newest uncertainty budget in them counts, without one type A alone.
    """
    budget = expanded(entries, analysis)
    adjustment = analysis.adjustment
    repeatability, within = analysis.cells.repeatability
    screening = analysis.screening
    return {
        "format": "fullturn result",
        "version": 1,
        "cells": {"planned": analysis.header.design.planned_cells, "filled": len(analysis.cells)},
        "readings": {"accepted": snapshot.accepted, "struck": snapshot.struck},
        "determined": adjustment.determined,
        "rank": adjustment.rank,
        "degrees_of_freedom": adjustment.degrees_of_freedom,
        "standard_deviation": number(adjustment.standard_deviation),
        "repeatability": {"standard_deviation": number(repeatability), "degrees_of_freedom": within},
        "circles": {
            "lower": _circle(analysis.lower) | budget.fields("lower") | _fine(analysis, "lower"),
            "upper": None
            if analysis.upper is None
            else _circle(analysis.upper) | budget.fields("upper") | _fine(analysis, "upper"),
        },
        "reference_angle_error": number(analysis.reference.value[0]) if analysis.upper is None else None,
        "reference_angle_standard_uncertainty": (
            number(analysis.reference.uncertainty[0]) if analysis.upper is None else None
        ),
        **_reference(budget.reference),
        "missing": list(analysis.missing),
        "runs": _runs(analysis),
        "flags": [_flag(flag) for flag in analysis.flags],
        "not_tested": [{"test": each.test, "reason": each.reason} for each in screening.not_tested]
        if screening is not None
        else [],
        "accepted_sd_contradicted": screening is not None and screening.contradicted,
    }


def _circle(errors: CircleErrors) -> dict[str, list[float | None]]:
    return {
        **_pair("position_error", "standard_uncertainty", errors.position),
        **_pair("from_first", "from_first_standard_uncertainty", errors.from_first),
        **_pair("interval_error", "interval_standard_uncertainty", errors.interval),
    }


def _fine(analysis: Analysis, circle: str) -> dict[str, Any]:
    """Return what was measured in fine steps, the n positions among it; nothing where there are no arcs."""
    design = analysis.header.design
    if not design.arcs:
        return {}
    measured, deviation = analysis.adjustment.measured(circle), analysis.deviation
    return {
        "fine": {
            "subdivision": design.subdivision,
            "position": measured.at.tolist(),
            "angle": [360 * int(at) / design.fine for at in measured.at],
            "position_error": numbers(measured.position.value),
            "standard_uncertainty": numbers(uncertainty_of(measured.position, deviation)),
            "from_first": numbers(measured.from_first.value),
            "from_first_standard_uncertainty": numbers(uncertainty_of(measured.from_first, deviation)),
        }
    }


def _reference(found: Uncertainty | None) -> dict[str, float | None]:
    """Return the expanded uncertainty of the fixed angle and its coverage factor."""
    return {
        "reference_angle_expanded_uncertainty": None if found is None else number(found.expanded[0]),
        "reference_angle_coverage_factor": None if found is None else number(found.factor[0]),
    }


def _pair(value: str, uncertainty: str, estimate: Estimate) -> dict[str, list[float | None]]:
    return {value: numbers(estimate.value), uncertainty: numbers(estimate.uncertainty)}


def _runs(analysis: Analysis) -> list[dict[str, Any]]:
    adjustment = analysis.adjustment
    linear = analysis.header.design.drift == "linear"
    return [
        {
            "offset": run.offset,
            "direction": run.direction,
            # Runs of a single closure have no constant of their own.
            "constant": number(adjustment.constant.value[run.number]) if adjustment.closure.dual else None,
            "drift": number(adjustment.drift.value[run.number]) if linear else 0.0,
            "closing_misfit": number(analysis.closing_misfit[run.number]),
            **_splits(run, analysis),
            **_arc(run, analysis.header.design),
        }
        for run in analysis.header.design.runs
    ]


def _splits(run: Run, analysis: Analysis) -> dict[str, Any]:
    """Return from which steps on a run has another constant, and that one; nothing for a run of one constant."""
    parts = [
        {
            "step": step,
            "constant": number(analysis.adjustment.constant.value[analysis.group_of(run.number, step)]),
        }
        for split, step in analysis.splits
        if split == run.number
    ]
    return {"splits": parts} if parts else {}


def _arc(run: Run, design: Design) -> dict[str, Any]:
    """Return between which angles of the lower circle a run goes over an arc; nothing for one round the circle."""
    if run.arc is None:
        return {}
    start = run.arc.start
    ends = (360 * start / design.fine, 360 * ((start + design.subdivision) % design.fine) / design.fine)
    return {"arc": dict(zip(("start", "end"), ends, strict=True))}


def _flag(flag: Flag) -> dict[str, Any]:
    return {
        "run": flag.run,
        "step": flag.step,
        "entry": flag.entry,
        "test": flag.test,
        "statistic": number(flag.statistic),
        "critical": number(flag.critical),
        "strong": bool(flag.strong),
        "predicted": None if flag.predicted is None else number(flag.predicted),
        "value": number(flag.value),
        "suggestion": flag.suggestion,
        "suggested_value": None if flag.suggested_value is None else number(flag.suggested_value),
        "other_entries": list(flag.others),
    }
