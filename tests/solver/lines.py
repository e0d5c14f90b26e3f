"""Budget lines beside what they stand for: draws of the errors that each line describes."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from solver.budget import Line
from solver.effects import Effect
from tests.solver.simulate import Draw, Floats

#: Rectangular lines of the size of what the scatter leaves, over both circles and all ways of entering.
LINES = (
    Line("scale", half_width=0.05, effect=Effect("proportional")),
    Line("flatness", half_width=0.4, effect=Effect("position")),
    Line("zero", half_width=5.0, effect=Effect("constant")),
    Line("digit", half_width=0.6, effect=Effect("cell")),
    Line("drift", half_width=0.7, effect=Effect("ramp", "lower")),
    Line("nod", "B", "U-shaped", half_width=0.4, effect=Effect("harmonic", "both", 1)),
)


def rectangular(positions: int) -> Draw:
    """Return what draws errors of `LINES` for two circles of so many positions."""
    n = positions

    def draw(rng: np.random.Generator, truth: Floats, step: NDArray[np.int64]) -> tuple[Floats, Floats]:
        angle = 2 * np.pi * np.arange(n) / n
        moved = truth * rng.uniform(-0.05, 0.05)
        moved += rng.uniform(-0.4, 0.4, len(truth))
        moved += np.repeat(rng.uniform(-5, 5, len(truth) // n), n)
        moved[:n] += rng.uniform(-0.7, 0.7) * np.arange(n) / n
        for first in range(0, len(truth), n):
            moved[first : first + n] += 0.4 * np.sin(angle + rng.uniform(0, 2 * np.pi))
        return moved, rng.uniform(-0.6, 0.6, len(step))

    return draw
