"""A circle taken apart as plain data, for `analyse --json`."""

from __future__ import annotations

from typing import Any

import numpy as np

from sessions.circle_analysis import LEVEL, CircleAnalysis
from sessions.json_values import number, numbers
from solver.budget import Uncertainty
from solver.extremes import Difference


def circle_analysis_table(circle: CircleAnalysis) -> dict[str, Any]:
    """Return a circle taken apart: arc seconds and degrees; what is not determined or not known is null.

    A harmonic is ``cosine · cos(h t) + sine · sin(h t)`` = ``amplitude · cos(h t - phase)`` at angle t of the circle.
    Its phase is given where the harmonic is significant. Standard uncertainties are of type A; the expanded ones hold
    the lines of the recorded budget, `budget_lines` of them (null: no budget is recorded).
    """
    found = circle.found
    significant = circle.significant
    phase, phase_u, peak = (
        np.where(significant, each, np.nan) for each in (found.phase, found.phase_uncertainty, found.peak)
    )
    columns = {
        "order": found.order.tolist(),
        "cause": [cause or None for cause in circle.causes],
        "cosine": numbers(found.cosine),
        "sine": numbers(found.sine),
        "amplitude": numbers(found.amplitude),
        "amplitude_standard_uncertainty": numbers(found.amplitude_uncertainty),
        **_expanded("amplitude_", circle.u.amplitude),
        "phase": numbers(phase),
        "phase_standard_uncertainty": numbers(phase_u),
        "phase_expanded_uncertainty": numbers(np.where(significant, circle.u.phase.expanded, np.nan)),
        "peak_angle": numbers(peak),
        "scatter_limit": numbers(circle.limit),
        "p_value": numbers(found.p_value),
        "significant": [
            bool(each) if known else None
            for each, known in zip(significant, np.isfinite(found.p_value), strict=True)
        ],
    }
    eccentricity = circle.eccentricity
    return {
        "format": "fullturn analysis",
        "version": 1,
        "circle": circle.which,
        "positions": circle.positions,
        "level": LEVEL,
        "probability": circle.u.probability,
        "budget_lines": circle.u.lines if circle.u.recorded else None,
        "harmonics": [dict(zip(columns, row, strict=True)) for row in zip(*columns.values(), strict=True)],
        "position_error": numbers(circle.position.value),
        "standard_uncertainty": numbers(circle.position.uncertainty),
        **_expanded("", circle.u.position),
        "from_first": numbers(circle.from_first.value),
        "from_first_standard_uncertainty": numbers(circle.from_first.uncertainty),
        **_expanded("from_first_", circle.u.from_first),
        "largest_interval": _difference(circle, circle.interval, 0),
        "largest_between": _difference(circle, circle.between, 1),
        "removed": list(circle.removed),
        "remaining": {
            "position_error": numbers(circle.remaining.value),
            "standard_uncertainty": numbers(circle.remaining.uncertainty),
            **_expanded("", circle.u.remaining),
            "largest_interval": _difference(circle, circle.interval_left, 2),
            "largest_between": _difference(circle, circle.between_left, 3),
        },
        "eccentricity": None
        if eccentricity is None
        else {
            "diameter_mm": eccentricity.diameter,
            "micrometres": number(eccentricity.value),
            "standard_uncertainty": number(eccentricity.uncertainty),
            "expanded_uncertainty": number(eccentricity.expanded),
        },
    }


def _expanded(prefix: str, u: Uncertainty) -> dict[str, list[float | None]]:
    return {
        f"{prefix}expanded_uncertainty": numbers(u.expanded),
        f"{prefix}coverage_factor": numbers(u.factor),
        f"{prefix}effective_degrees_of_freedom": numbers(u.freedom),
    }


def _difference(circle: CircleAnalysis, found: Difference, place: int) -> dict[str, Any]:
    return {
        "from": found.start,
        "to": found.to,
        "error": number(found.value),
        "standard_uncertainty": number(found.uncertainty),
        "expanded_uncertainty": number(circle.u.largest.expanded[place]),
        "scatter_limit": number(found.limit),
    }
