"""A plan as a table of plain values, for `fullturn plan --json`."""

from __future__ import annotations

from typing import Any

from sessions.choice import Choice
from sessions.json_values import plain
from sessions.plan import Plan
from sessions.plan_arcs import PlannedArcs, arcs_table

FORMAT = "fullturn plan"
VERSION = 1


def plan_table(plan: Plan, arcs: PlannedArcs | None = None) -> dict[str, Any]:
    """Return the plan as JSON has it: angles in arc seconds, None for what is not given or not determined.

    With arcs there is "arcs" beside "choices".
    """
    wanted, design = plan.wanted, plan.wanted.design
    pace = wanted.pace
    table = {
        "format": FORMAT,
        "version": VERSION,
        "positions": design.positions,
        "closure": design.closure,
        "reading": design.reading,
        "arrangement": design.arrangement,
        "direction": design.direction,
        "closing": design.closing,
        "repeats": design.repeats,
        "accepted_sd": wanted.standard_deviation,
        "accepted_sd_assumed": wanted.assumed,
        "accepted_sd_dof": wanted.accepted_sd_dof,
        "tolerance": wanted.tolerance,
        "seconds": {"reading": pace.reading, "repeat": pace.repeat, "offset": pace.offset},
        "choices": [_choice_table(choice) for choice in plan.choices],
    }
    return table if arcs is None else table | {"arcs": arcs_table(arcs, wanted.standard_deviation)}


def _choice_table(choice: Choice) -> dict[str, Any]:
    table = {
        "offsets": list(choice.offsets),
        "runs": choice.design.run_count,
        "cells": choice.design.planned_cells,
        "readings": choice.readings,
        "hours": choice.hours,
        "variance_factor": choice.variance_factor,
        "interval_variance_factor": choice.interval_variance_factor,
        "efficiency": choice.efficiency,
        "degrees_of_freedom": choice.degrees_of_freedom,
        "standard_uncertainty": choice.standard_uncertainty,
        "coverage_factor": choice.coverage_factor,
        "effective_degrees_of_freedom": choice.effective_degrees_of_freedom,
        "expanded_uncertainty": choice.expanded_uncertainty,
        "any_two_mean_standard_uncertainty": choice.any_two_mean,
        "any_two_mean_expanded_uncertainty": choice.expanded(choice.any_two_mean),
        "any_two_worst_standard_uncertainty": choice.any_two_worst,
        "any_two_worst_expanded_uncertainty": choice.expanded(choice.any_two_worst),
        "any_two_worst_separation": choice.worst_separation,
        "decides": choice.decides,
        "acceptance_limit": choice.acceptance_limit,
        "recommended": choice.recommended,
        "reason": choice.reason,
    }
    return {key: plain(value) for key, value in table.items()}
