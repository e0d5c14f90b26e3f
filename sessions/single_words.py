"""What a single closure says of itself: its uncertainty grows from the start on, and when two circles do better."""

from __future__ import annotations

import numpy as np

from sessions.analysis import Analysis
from sessions.certificate.numbers import significant
from sessions.circle_words import by_faces
from sessions.design import Design
from solver.closure import Closure
from solver.offsets import best_offsets
from solver.variance import variances

#: With two runs a dual closure has no reading to spare and a large uncertainty; with more than these it is long work.
_FEWEST, _MOST = 3, 12


def growth(analysis: Analysis) -> str:
    """Say how far the uncertainty from position 0 grows; "" while it is not known or for a dual closure.

    For intervals read equally often it is root(i (n - i)/n) times that of one interval's mean (tests/published,
    closure_factors.csv).
    """
    uncertainty = analysis.lower.from_first.uncertainty
    if analysis.header.design.closure != "single" or not np.isfinite(uncertainty).all():
        return ""
    farthest = int(np.argmax(np.round(uncertainty / uncertainty.max(), 9))) if uncertainty.max() > 0 else 0
    if not farthest:
        return ""
    near, far = uncertainty[1], uncertainty[farthest]
    what = "face" if by_faces(analysis.header) else "position"
    return (
        f"From {what} 0 the standard uncertainty grows from {significant(near)}″ at {what} 1 to {significant(far)}″ "
        f"at {what} {farthest}."
    )


def dual_better(design: Design, *, faces: bool = False) -> str:
    """Say what two circles would give instead of a single closure, where that is better; "" where it is not.

    `faces` says that a polygon is calibrated.
    """
    if design.closure != "single":
        return ""
    n, runs = design.positions, len(design.offsets)
    single = variances(design.model(), design.offsets)
    instead = min(max(runs, _FEWEST), _MOST)
    if n < _FEWEST:
        return ""
    offsets = best_offsets(Closure(n), instead)
    dual = variances(Closure(n), offsets)
    if not dual.determined or dual.any_two_worst >= single.any_two_worst:
        return ""
    second = "On a table" if faces else "With a second circle"
    better, here = np.sqrt(dual.any_two_worst), np.sqrt(single.any_two_worst)
    return (
        f"Between the two {'faces' if faces else 'positions'} known worst: {here:.2g} s (s: standard deviation of a "
        f"cell). {second}, a dual closure of {instead} runs would give {better:.2g} s, and calibrate both."
    )
