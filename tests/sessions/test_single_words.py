"""What a single closure says of its uncertainty, and when two circles would do better."""

from __future__ import annotations

import numpy as np
import pytest

from sessions.analysis import analyse
from sessions.design import Design
from sessions.entries import Reading
from sessions.equipment import Circle, Instrument
from sessions.header import Header
from sessions.matrix import Matrix
from sessions.single_words import dual_better, growth
from tests.sessions.simulated import DAY


def single(positions: int, runs: int) -> Design:
    return Design(positions, (0,) * runs, closure="single", reading="interval", closing=False)


def filled(design: Design, kind: str = "index table", skip: int | None = None) -> Matrix:
    matrix = Matrix(
        Header(design=design, lower=Circle(kind=kind), upper=None, instrument=Instrument(accepted_sd=0.1))
    )
    number = 0
    for run in range(design.run_count):
        for step in design.steps:
            if step != skip:
                number += 1
                matrix.add(Reading(number, DAY, run, step, 0.5))
    return matrix


def test_growth_is_that_of_the_design() -> None:
    """Position i from position 0: variance i (n - i)/n, section 2 of the design (algebra)."""
    analysis = analyse(filled(single(12, 1)).snapshot())
    expected = 0.1 * np.sqrt(np.arange(12) * (12 - np.arange(12)) / 12)
    np.testing.assert_allclose(analysis.lower.from_first.uncertainty, expected, atol=1e-12)
    assert growth(analysis) == (
        "From position 0 the standard uncertainty grows from 0.096″ at position 1 to 0.17″ at position 6."
    )


def test_growth_of_a_polygon_speaks_of_faces() -> None:
    assert "at face 3" in growth(analyse(filled(single(7, 1), "polygon").snapshot()))


def test_nothing_of_growth_before_the_circle_closes() -> None:
    assert growth(analyse(filled(single(12, 2), skip=5).snapshot())) == ""


@pytest.mark.parametrize(
    ("positions", "runs", "better"),
    [
        (12, 3, False),
        (12, 4, True),
        (8, 8, False),
        (7, 5, False),
        (36, 3, True),
        (72, 1, True),
        (2, 3, False),
    ],
)
def test_two_circles_are_proposed_where_they_give_less(positions: int, runs: int, better: bool) -> None:
    """Single: n/4 over the runs at worst (design); dual {0, 1, 3, 7} of 12 gives 0.62 (dense least squares)."""
    words = dual_better(single(positions, runs))
    assert bool(words) == better
    if (positions, runs) == (12, 4):
        assert "0.87 s" in words
        assert "0.79 s" in words


def test_nothing_is_proposed_instead_of_a_dual_closure() -> None:
    assert dual_better(Design(36, (0, 1, 6))) == ""


def test_a_polygon_is_told_of_faces_and_a_table() -> None:
    words = dual_better(single(24, 3), faces=True)
    assert words.startswith("Between the two faces known worst")
    assert "On a table, a dual closure of 3 runs" in words
