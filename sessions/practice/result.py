"""The truth of a practice session as plain data, for `practice --truth FILE --json`."""

from __future__ import annotations

from typing import Any

from sessions.json_values import number, numbers
from sessions.practice.debrief import CircleTruth, Debrief, Outcome
from sessions.practice.parameters import Parameters

FORMAT = "fullturn practice"
VERSION = 1


def debrief_table(debrief: Debrief, parameters: Parameters) -> dict[str, Any]:
    """Return the debrief as JSON has it: arc seconds, None for what is not determined."""
    tooth = debrief.tooth
    return {
        "format": FORMAT,
        "version": VERSION,
        "seed": parameters.seed,
        "circles": {circle.name: _circle(circle) for circle in debrief.circles},
        "within": debrief.inside,
        "determined": debrief.known,
        "probability": debrief.probability,
        "positions_to_the_circle": debrief.turn,
        "standard_deviation": {"true": debrief.deviation, "found": number(debrief.found)},
        "lazy_tooth": None if tooth is None else {"circle": tooth.circle, "position": tooth.position},
        "slips": [_slip(outcome) for outcome in debrief.slips],
        "mistyped": [each.reading.number for each in debrief.mistyped],
        "struck_without_need": [each.reading.number for each in debrief.struck],
        "cells_to_read": debrief.to_read,
    }


def _circle(circle: CircleTruth) -> dict[str, Any]:
    return {
        "position": circle.at.tolist(),
        "true_position_error": numbers(circle.true),
        "position_error": numbers(circle.solved),
        "expanded_uncertainty": numbers(circle.expanded),
        "within": [
            bool(inside) if known else None for inside, known in zip(circle.inside, circle.known, strict=True)
        ],
    }


def _slip(outcome: Outcome) -> dict[str, Any]:
    first = outcome.readings[0]
    return {
        "kind": outcome.slip.kind,
        "run": outcome.slip.run,
        "step": outcome.slip.step,
        "entries": [each.reading.number for each in outcome.readings],
        "shown": first.shown.value,
        "right": first.shown.right,
        "fate": outcome.fate,
    }
