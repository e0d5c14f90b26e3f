"""The matrix against the same readings counted anew, and against exact fractions."""

import random
from datetime import timedelta
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sessions.design import Design
from sessions.entries import Reading
from sessions.equipment import Instrument
from sessions.header import Header
from sessions.matrix import Matrix
from tests.sessions.kit import START

HEADER = Header(Design(4, (0, 1)))


def read(matrix: Matrix, number: int, run: int, step: int, value: float) -> None:
    matrix.add(Reading(number, START + timedelta(seconds=number), run, step, value))


def exact(values: list[float], base: float) -> tuple[Fraction, Fraction]:
    fractions = [Fraction(value) - Fraction(base) for value in values]
    mean = sum(fractions, Fraction(0)) / len(fractions)
    return mean, sum(((value - mean) ** 2 for value in fractions), Fraction(0))


@settings(max_examples=100, deadline=None)
@given(st.integers(0, 2**32), st.sampled_from([0.0, 1e6, -1e9]), st.integers(1, 60))
def test_matrix_is_what_its_readings_say(seed: int, constant: float, events: int) -> None:
    chance = random.Random(seed)
    matrix, values, status = Matrix(HEADER), {}, {}
    for number in range(1, events + 1):
        if values and chance.random() < 0.4:
            chosen = chance.choice(sorted(values))
            status[chosen] = chance.choice(["accepted", "struck", "kept"])
            matrix.mark(chosen, status[chosen], "reason")
            continue
        run, step = chance.randrange(2), chance.randrange(5)
        value = constant + round(chance.gauss(0, 0.5), 2)
        read(matrix, number, run, step, value)
        values[number], status[number] = (run, step, value), "accepted"
    for run in range(2):
        for step in range(5):
            here = [number for number, place in values.items() if place[:2] == (run, step)]
            good = [values[number][2] for number in here if status[number] != "struck"]
            assert [reading.number for reading in matrix.readings(run, step)] == here
            assert [reading.status for reading in matrix.readings(run, step)] == [status[n] for n in here]
            assert matrix.count[run, step] == len(good)
            if not good:
                assert np.isnan(matrix.mean[run, step])
                assert matrix.squares[run, step] == 0
                continue
            mean, squares = exact(good, matrix.base[run])
            assert matrix.mean[run, step] == pytest.approx(float(mean), abs=1e-13)
            assert matrix.squares[run, step] == pytest.approx(float(squares), abs=1e-12)
    assert matrix.filled == np.count_nonzero(matrix.count)
    assert matrix.accepted == matrix.count.sum()
    assert matrix.struck == sum(value == "struck" for value in status.values())
    assert matrix.last is not None
    assert matrix.last.number == max(values)


def test_constants_of_a_million_lose_no_digits() -> None:
    # Differences of neighbouring doubles are exact (Sterbenz, 1974; memory), so only the typed digits remain.
    small, large = Matrix(HEADER), Matrix(HEADER)
    for number, value in enumerate([0.125, 0.25, 0.5, 0.0625], 1):
        read(small, number, 0, 0, value)
        read(large, number, 0, 0, 1e6 + value)
    assert large.mean[0, 0] == small.mean[0, 0]
    assert large.squares[0, 0] == small.squares[0, 0]


def test_base_is_a_reading_of_the_run_that_counts() -> None:
    matrix = Matrix(HEADER)
    read(matrix, 1, 1, 3, 5.0)
    read(matrix, 2, 1, 0, 7.0)
    assert matrix.base.tolist() == [0.0, 5.0]
    matrix.mark(1, "struck", "wrong")
    assert matrix.base.tolist() == [0.0, 7.0]
    assert matrix.mean[1, 0] == 0.0


def test_snapshot_stays_as_it_was() -> None:
    matrix = Matrix(HEADER)
    read(matrix, 1, 0, 0, 1.0)
    before = matrix.snapshot()
    matrix.split(0, 2)
    read(matrix, 2, 0, 0, 3.0)
    matrix.mark(1, "struck", "door")
    read(matrix, 3, 1, 4, 3.0)
    matrix.reshape(Header(Design(5, (0, 1, 2))))
    assert before.header is HEADER
    assert before.count.sum() == before.accepted == before.filled == 1
    assert before.mean[0, 0] == 0.0
    assert [reading.status for reading in before.readings(0, 0)] == ["accepted"]
    assert before.readings(1, 4) == ()
    assert before.splits == ()
    assert before.last is not None
    assert before.last.number == 1
    with pytest.raises(ValueError, match="read-only"):
        before.mean[0, 0] = 1.0
    assert matrix.snapshot().splits == ((0, 2),)


def test_places_and_numbers() -> None:
    matrix = Matrix(HEADER)
    read(matrix, 4, 1, 2, 1.5)
    assert matrix.place(4) == (1, 2)
    assert matrix.place(1) is None
    assert matrix.reading(1) is None
    reading = matrix.reading(4)
    assert reading is not None
    assert (reading.value, reading.counts) == (1.5, True)


def test_a_slip_that_began_a_run_and_was_struck_at_once_costs_no_digits() -> None:
    matrix = Matrix(Header(design=Design(positions=4, offsets=(0, 1))))
    matrix.add(Reading(1, START, 0, 0, 1e12))
    matrix.mark(1, "struck", "typing slip")
    matrix.add(Reading(2, START, 0, 0, 1000000.000001))
    assert (matrix.base[0], matrix.mean[0, 0]) == (1000000.000001, 0.0)


def test_a_struck_slip_far_off_costs_the_run_no_digits() -> None:
    matrix = Matrix(Header(design=Design(positions=4, offsets=(0, 1))))
    values = [1e12, 1000000.000001, 1000000.000002, 1000000.000004]
    for number, value in enumerate(values, start=1):
        matrix.add(Reading(number, START, 0, number - 1, value))
    matrix.mark(1, "struck", "typing slip")
    assert matrix.base[0] == values[2]
    assert [matrix.mean[0, step] + matrix.base[0] for step in (1, 2, 3)] == values[1:]
    assert matrix.mean[0, 3] == values[3] - values[2]
    matrix.mark(1, "accepted", "")
    assert matrix.mean[0, 0] == values[0] - values[2]


@pytest.mark.parametrize("order", [1, -1], ids=["first to last", "last to first"])
@pytest.mark.parametrize("drift", [0.0, 0.01])
def test_striking_a_whole_run_works_out_few_cells_anew(
    monkeypatch: pytest.MonkeyPatch, order: int, drift: float
) -> None:
    """Counted: each strike works out its own cell, and the whole run again only when its base is struck."""
    steps, worked = 361, []
    matrix, chance = Matrix(Header(Design(360, (0, 1)))), random.Random(5)
    for step in range(steps):
        read(matrix, step + 1, 0, step, drift * step + chance.gauss(0, 0.5))
    recompute = Matrix._recompute
    monkeypatch.setattr(
        Matrix, "_recompute", lambda self, place: (worked.append(place), recompute(self, place))
    )
    for number in range(1, steps + 1)[::order]:
        matrix.mark(number, "struck", "knocked")
    # The middle one of so many is struck about as often as their number is halved.
    assert len(worked) <= steps * (1 + 2 * np.log2(steps))
    assert (matrix.accepted, matrix.struck, matrix.filled) == (0, steps, 0)


def test_readings_have_the_digits_of_the_one_typed_with_most() -> None:
    """Each expected number of digits is counted by hand in the reading beside it."""
    matrix = Matrix(HEADER)
    assert matrix.decimals == 0
    for number, (value, digits) in enumerate([(3.0, 0), (1.2345, 4), (2.5, 4), (1.5e-05, 6)], 1):
        read(matrix, number, 0, number - 1, value)
        assert matrix.decimals == digits
        assert matrix.snapshot().decimals == digits
    matrix.mark(4, "struck", "slip")
    assert matrix.decimals == 6
    matrix.reshape(Header(HEADER.design, instrument=Instrument(resolution=0.01)))
    assert matrix.decimals == 2
