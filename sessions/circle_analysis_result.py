"""A circle taken apart as plain data, for `analyse --json`."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from sessions.circle_analysis import LEVEL, CircleAnalysis
from solver.extremes import Difference


def circle_analysis_table(circle: CircleAnalysis) -> dict[str, Any]:
    """Return a circle taken apart: arc seconds and degrees; what is not determined or not known is null.

    A harmonic is ``cosine · cos(h t) + sine · sin(h t)`` = ``amplitude · cos(h t - phase)`` at angle t of the circle.
    Its phase is given where the harmonic is significant.
    """
    found = circle.found
    significant = circle.significant
    phase, phase_u, peak = (
        np.where(significant, each, np.nan) for each in (found.phase, found.phase_uncertainty, found.peak)
    )
    columns = {
        "order": found.order.tolist(),
        "cause": [cause or None for cause in circle.causes],
        "cosine": _list(found.cosine),
        "sine": _list(found.sine),
        "amplitude": _list(found.amplitude),
        "amplitude_standard_uncertainty": _list(found.amplitude_uncertainty),
        "phase": _list(phase),
        "phase_standard_uncertainty": _list(phase_u),
        "peak_angle": _list(peak),
        "scatter_limit": _list(circle.limit),
        "p_value": _list(found.p_value),
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
        "harmonics": [dict(zip(columns, row, strict=True)) for row in zip(*columns.values(), strict=True)],
        "position_error": _list(circle.position.value),
        "standard_uncertainty": _list(circle.position.uncertainty),
        "from_first": _list(circle.from_first.value),
        "from_first_standard_uncertainty": _list(circle.from_first.uncertainty),
        "largest_interval": _difference(circle.interval),
        "largest_between": _difference(circle.between),
        "removed": list(circle.removed),
        "remaining": {
            "position_error": _list(circle.remaining.value),
            "standard_uncertainty": _list(circle.remaining.uncertainty),
            "largest_interval": _difference(circle.interval_left),
            "largest_between": _difference(circle.between_left),
        },
        "eccentricity": None
        if eccentricity is None
        else {
            "diameter_mm": eccentricity.diameter,
            "micrometres": _number(eccentricity.value),
            "standard_uncertainty": _number(eccentricity.uncertainty),
        },
    }


def _difference(found: Difference) -> dict[str, Any]:
    return {
        "from": found.start,
        "to": found.to,
        "error": _number(found.value),
        "standard_uncertainty": _number(found.uncertainty),
        "scatter_limit": _number(found.limit),
    }


def _list(values: ArrayLike) -> list[float | None]:
    return [_number(value) for value in np.asarray(values, dtype=float)]


def _number(value: float) -> float | None:
    return float(value) if np.isfinite(value) else None
