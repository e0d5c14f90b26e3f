"""Positions from a step angle and the divisions of the circles."""

from __future__ import annotations

from fractions import Fraction

import pytest

from sessions.step_angle import angle, positions_of
from solver.refused import Refused


@pytest.mark.parametrize(
    ("positions", "step", "divisions", "expected"),
    [
        (12, None, (), 12),
        (None, Fraction(30), (), 12),
        (None, Fraction("22.5"), (1440, 360 * 4), 16),
        (None, Fraction("0.25"), (1440,), 1440),
        (None, Fraction(360, 7), (), 7),
        (36, Fraction(10), (360, 1440), 36),
    ],
)
def test_steps_that_close_the_circle(
    positions: int | None, step: Fraction | None, divisions: tuple[int, ...], expected: int
) -> None:
    assert positions_of(positions, step, divisions) == expected


@pytest.mark.parametrize(
    ("positions", "step", "divisions", "what", "remedy"),
    [
        (None, Fraction(7), (), "7° do not close", "50 positions (7.2°) or 60 positions (6°)"),
        (None, Fraction("0.4"), (1440, 1800), "900 positions do not divide the 1440", "360 positions (1°)"),
        (
            16,
            None,
            (1440, 360),
            "divide the 360 divisions of the upper",
            "15 positions (24°) or 18 positions",
        ),
        (7, None, (5, 11), "divide the 5 divisions of the lower", "more divisions in common"),
        (None, None, (), "neither positions nor a step", "--positions N"),
        (None, None, (360, 240), "neither positions nor a step", "120 positions (3°)"),
        (12, Fraction(20), (), "30° apart, not 20°", "one of the two"),
        (1, None, (), "1 positions cannot", "from 2 to 1440"),
        (1441, None, (), "1441 positions cannot", "from 2 to 1440"),
        (None, Fraction(0), (), "greater than 0", "degrees"),
        (None, Fraction(-30), (), "greater than 0", "degrees"),
        (12, None, (0,), "2 divisions or more", "full number"),
        (12, None, (12, 24, 36), "3 circles", "one number for both"),
    ],
)
def test_what_does_not_work_is_refused_with_a_way_out(
    positions: int | None, step: Fraction | None, divisions: tuple[int, ...], what: str, remedy: str
) -> None:
    with pytest.raises(Refused) as refused:
        positions_of(positions, step, divisions)
    assert what in refused.value.what
    assert remedy in refused.value.remedy


@pytest.mark.parametrize(
    ("degrees", "words"),
    [
        (Fraction(30), "30°"),
        (Fraction(45, 2), "22.5°"),
        (Fraction(1, 4), "0.25°"),
        (Fraction(360, 7), "360/7°"),
    ],
)
def test_angles_in_words(degrees: Fraction, words: str) -> None:
    assert angle(degrees) == words
