"""What follows from the full turn alone: the fixed angle of a single closure, and sums of four readings."""

from __future__ import annotations

import numpy as np

from sessions.selfcheck.check import Check
from solver.adjust import Adjustment, adjust
from solver.cells import gather
from solver.closure import Closure, Floats

_TOPIC = "What the full turn gives"

#: Invented readings, arc seconds, of a single closure of four intervals; their mean is 3.
_SINGLE = np.array([1.0, 2.0, 4.0, 5.0])

#: Invented readings, arc seconds, of a complete closure of four positions by "interval": rows are runs, columns steps.
#: They sum to zero, as those of errors alone do.
_FOUR = np.array(
    [
        [0.31, -0.12, 0.25, -0.40],
        [-0.18, 0.22, 0.05, -0.11],
        [0.44, -0.37, 0.09, -0.16],
        [-0.27, 0.13, -0.08, 0.20],
    ]
)


def checks() -> tuple[Check, ...]:
    """Return the checks of this topic."""
    return (
        Check(
            _TOPIC,
            "single: x = −p · mean(y)",
            "algebra: the interval errors of a circle sum to zero",
            "recomputed",
            "solver.adjust.adjust",
            {"p = +1": -3.0, "p = −1": 3.0},
            1e-12,
            lambda: [_single(polarity).reference.value[0] for polarity in (1, -1)],
            unit="″",
        ),
        Check(
            _TOPIC,
            "single: interval errors",
            "algebra: the interval errors of a circle sum to zero",
            "recomputed",
            "solver.adjust.adjust",
            {"interval 1": -2.0, "interval 2": -1.0, "interval 3": 1.0, "interval 4": 2.0},
            1e-12,
            lambda: _single(1).lower.interval.value,
            unit="″",
        ),
        Check(
            _TOPIC,
            "four positions: intervals",
            "of the 16 readings, the four with one upper interval sum to minus four times its error",
            "common practice",
            "solver.adjust.adjust",
            {"interval 1": 0.2575, "interval 2": -0.1775, "interval 3": 0.125, "interval 4": -0.205},
            1e-12,
            _four,
            unit="″",
        ),
    )


def _single(polarity: int) -> Adjustment:
    closure = Closure(4, kind="single", reading="interval", polarity=polarity)
    steps = np.arange(1, 5)
    return adjust(closure, np.zeros(1, dtype=np.int64), gather(np.zeros_like(steps), steps, _SINGLE))


def _four() -> Floats:
    run, step = (each.ravel() for each in np.meshgrid(np.arange(4), np.arange(1, 5), indexing="ij"))
    made = adjust(Closure(4, reading="interval"), np.arange(4), gather(run, step, _FOUR.ravel()))
    if made.upper is None:
        raise AssertionError("a dual closure has an upper circle")
    return made.upper.interval.value
