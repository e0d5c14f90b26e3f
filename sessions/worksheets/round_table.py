"""What the worksheets with readings round a turn share: angles, residuals in words, the drawing."""

from __future__ import annotations

import numpy as np

from sessions.counted import freedom_words
from sessions.worksheets.sheet import LOOK_AT, Trace
from sessions.worksheets.words import degrees, number
from solver.closure import Floats
from solver.coverage import USUAL_PROBABILITY
from solver.once_per_turn import OncePerTurn


def angles(count: float) -> tuple[float, ...]:
    """Return equally spaced angles, degrees from 0."""
    return tuple(round(360 * i / int(count), 9) for i in range(int(count)))


def expanded(turn: OncePerTurn) -> float:
    """Return the expanded uncertainty of the amplitude."""
    return turn.fit.expanded(turn.amplitude_uncertainty, USUAL_PROBABILITY)


def towards(turn: OncePerTurn) -> str:
    """Return the direction of the highest point in words; not determined where noise could have made it."""
    wide = turn.fit.expanded(turn.direction_uncertainty, USUAL_PROBABILITY)
    if not wide <= 90:
        return "not determined"
    return f"{round(turn.direction) % 360}° ± {max(1, int(np.ceil(wide)))}°"


def determined(turn: OncePerTurn) -> bool:
    """Whether the direction is determined within a right angle either way."""
    return bool(turn.fit.expanded(turn.direction_uncertainty, USUAL_PROBABILITY) <= 90)


def residuals(turn: OncePerTurn, angle: Floats, unit: str) -> tuple[tuple[str, str], ...]:
    """Return lines on the residuals: their scatter, and a reading that stands apart."""
    left = turn.fit.residual
    worst = int(np.abs(left).argmax())
    lines = [
        (
            "Residuals",
            f"largest {number(abs(float(left[worst])), unit)}, at {degrees(float(angle[worst]))}"
            + (
                f"; s {number(turn.fit.standard_deviation, unit)}, {freedom_words(turn.fit.degrees_of_freedom)}"
                if turn.fit.degrees_of_freedom
                else ""
            ),
        )
    ]
    apart = turn.fit.apart()
    if apart is not None:
        lines.append(
            (LOOK_AT, f"the reading at {degrees(float(angle[apart]))}: it does not go with the others")
        )
    return tuple(lines)


def trace(turn: OncePerTurn, angle: Floats, value: Floats, unit: str) -> Trace:
    """Return the drawing of the readings about their mean, with the fitted sine."""
    line = np.linspace(0.0, 360.0, 121)
    return Trace(angle, value - turn.mean, line, turn.at(line) - turn.mean, unit, "°")
