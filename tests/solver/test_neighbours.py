"""What would have been read at the settings beside a cell, and in the runs beside its own.

Source: the table of section 2 of the design document; errors without noise.
"""

from __future__ import annotations

import numpy as np
import pytest

from solver.adjust import adjust
from solver.case import Case
from solver.scene import neighbours
from tests.solver.invented import session

N, RUN, STEP = 7, 3, 4


@pytest.mark.parametrize("arrangement", ["counter-rotating", "face by face"])
def test_neighbours_of_a_reading_by_position(arrangement: str) -> None:
    rng = np.random.default_rng(1)
    drawn = session(
        rng, tuple(range(N)), positions=N, sigma=0.0, resolution=None, closing=False, arrangement=arrangement
    )
    adjustment = adjust(drawn.closure, drawn.offset, drawn.cells)
    assert adjustment.upper is not None
    beta, alpha = adjustment.lower.position.value, adjustment.upper.position.value
    constant, sign = adjustment.constant.value, drawn.closure.upper_sign
    upper = (RUN - STEP) % N if arrangement == "counter-rotating" else (RUN + STEP) % N
    # One circle a position on or back, or both as in a step of the run: the lower forward, the upper its own way.
    step = -1 if arrangement == "counter-rotating" else 1
    moves = [(1, 0), (-1, 0), (0, 1), (0, -1), (1, step), (-1, -step)]
    expected = [
        beta[(STEP + lower) % N] + sign * alpha[(upper + ahead) % N] + constant[RUN] for lower, ahead in moves
    ]
    beside = drawn.readings.typed.reshape(N, N)[[RUN - 1, RUN + 1], STEP].tolist()
    case = Case.of(drawn.closure, drawn.offset, drawn.cells)
    found = neighbours(case.solved(), RUN * N + STEP, case, 0.1)
    np.testing.assert_allclose(sorted(value for value, _ in found), sorted(expected + beside), atol=1e-9)
    leverage = adjustment.leverage[0]
    np.testing.assert_allclose([scatter for _, scatter in found][-2:], 0.1 * np.sqrt(1 + leverage), rtol=1e-9)
    assert all(0.1 < scatter < 0.15 for _, scatter in found)


def test_neighbours_of_a_reading_of_one_circle_are_the_intervals_beside_it() -> None:
    drawn = session(
        np.random.default_rng(1),
        (0, 0),
        positions=N,
        sigma=0.0,
        resolution=None,
        kind="single",
        reading="interval",
    )
    case = Case.of(drawn.closure, drawn.offset, drawn.cells)
    found = neighbours(case.solved(), STEP - 1, case, 0.1)
    typed = drawn.readings.typed
    np.testing.assert_allclose(
        sorted(value for value, _ in found), sorted(typed[[STEP - 2, STEP]]), atol=1e-9
    )
