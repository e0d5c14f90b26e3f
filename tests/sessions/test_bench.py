"""Where the bench goes next, and what it is told to set."""

from dataclasses import replace

import numpy as np
import pytest

from sessions.bench import Bench, Place
from sessions.circle_words import angle_words, circle_names
from sessions.design import Arc, Design
from sessions.equipment import Circle
from sessions.header import Header


def header(**design: object) -> Header:
    return Header(design=Design(**{"positions": 4, "offsets": (0, 1), **design}))


def walk(bench: Bench, count: np.ndarray) -> list[Place]:
    """Fill every place that the bench goes to until it has nowhere to go."""
    places, place = [], bench.next_after(None, count)
    while place is not None:
        count[place.run, place.step] += 1
        places.append(place)
        place = bench.next_after(place, count)
    return places


def test_runs_are_walked_in_order_with_repeats_and_closing_reading() -> None:
    bench = Bench(header(repeats=2))
    places = walk(bench, np.zeros((2, 5), dtype=np.int64))
    assert places == [Place(run, step) for run in range(2) for step in range(5) for _ in range(2)]


def test_return_run_is_walked_backwards() -> None:
    bench = Bench(header(direction="forward and return", offsets=(0,)))
    places = walk(bench, np.zeros((2, 5), dtype=np.int64))
    assert [place.step for place in places] == [0, 1, 2, 3, 4, 4, 3, 2, 1, 0]


def test_interval_runs_begin_at_step_one() -> None:
    bench = Bench(header(reading="interval", closing=False))
    assert [place.step for place in bench.places() if place.run == 0] == [1, 2, 3, 4]


def test_a_gap_of_the_present_run_is_left_until_the_end() -> None:
    bench = Bench(header())
    count = np.ones((2, 5), dtype=np.int64)
    count[1, 1] = count[1, 3] = 0
    assert bench.next_after(Place(1, 2), count) == Place(1, 3)
    count[1, 3] = 1
    assert bench.next_after(Place(1, 4), count) == Place(1, 1)
    count[1, 1] = 1
    assert bench.next_after(Place(1, 1), count) is None


def test_a_gap_is_left_out_once_the_zero_of_its_run_is_gone() -> None:
    bench = Bench(header())
    count = np.ones((2, 5), dtype=np.int64)
    count[0, 1] = 0
    assert bench.next_after(Place(1, 4), count) is None
    assert bench.left_out(Place(1, 4), count) == {Place(0, 1): 1}
    assert bench.left_out(Place(0, 4), count) == {}
    # A run of which nothing counts is read again whole, with a zero of its own.
    count[0] = 0
    assert bench.next_after(Place(1, 4), count) == Place(0, 0)
    assert bench.left_out(Place(1, 4), count) == {}


@pytest.mark.parametrize(
    "design", [{"reading": "interval"}, {"closure": "single", "reading": "interval", "closing": False}]
)
def test_intervals_have_a_zero_each_and_may_be_read_at_any_time(design: dict[str, object]) -> None:
    bench = Bench(header(**design))
    count = np.ones((2, 5), dtype=np.int64)
    count[0, 1] = 0
    assert bench.next_after(Place(1, 4), count) == Place(0, 1)
    assert bench.left_out(Place(1, 4), count) == {}


def test_following_ends_after_the_last_place() -> None:
    bench = Bench(header())
    assert bench.following(Place(0, 4)) == Place(1, 0)
    assert bench.following(Place(1, 4)) is None


@pytest.mark.parametrize(
    ("design", "place", "taken", "set_to", "first"),
    [
        # Section 2 of the design: lower at t, upper at k - t, a quarter turn a step.
        ({}, Place(1, 2), 0, "Lower to 180°, upper to 270°", ""),
        ({}, Place(0, 4), 0, "Lower to 0°, upper to 0°", "Closing reading"),
        ({}, Place(1, 0), 0, "Lower to 0°, upper to 90°", "mirror back to the instrument"),
        ({"repeats": 2}, Place(1, 2), 1, "Lower to 180°, upper to 270°", "Touch nothing"),
        ({}, Place(1, 2), 1, "Lower to 180°, upper to 270°", ""),
        ({"offsets": (1, 1)}, Place(1, 0), 0, "Lower to 0°, upper to 90°", "offset stays"),
        ({"arrangement": "face by face"}, Place(1, 2), 0, "Lower to 180°, upper to 270°", ""),
        (
            {"reading": "interval"},
            Place(1, 2),
            0,
            "zero at 90°, upper 0°; then lower to 180°, upper to 270°",
            "",
        ),
        (
            {"direction": "forward and return"},
            Place(1, 4),
            0,
            "Lower to 0°, upper to 0°",
            "return run begins",
        ),
        ({"direction": "forward and return"}, Place(1, 0), 0, "Lower to 0°, upper to 0°", "Closing reading"),
        ({"closure": "single", "reading": "interval"}, Place(0, 4), 0, "Interval 4: from 270° to 0°", ""),
    ],
)
def test_instructions(design: dict[str, object], place: Place, taken: int, set_to: str, first: str) -> None:
    instruction = Bench(header(**design)).instruction(place, taken)
    assert set_to.lower() in instruction.set_to.lower()
    assert first.lower() in instruction.first.lower()
    assert bool(first) == bool(instruction.first)


def test_a_polygon_is_spoken_of_by_faces() -> None:
    polygon = Header(
        design=Design(positions=8, offsets=(0, 3), arrangement="face by face"), upper=Circle(kind="polygon")
    )
    instruction = Bench(polygon).instruction(Place(1, 2), 0)
    assert instruction.set_to == "Table to 90°, face 5"


def test_angles_are_written_with_four_decimals_at_the_most() -> None:
    assert [angle_words(1, n) for n in (12, 7, 16, 360)] == ["30°", "51.4286°", "22.5°", "1°"]


def polygon(**design: object) -> Bench:
    plan = {"positions": 8, "offsets": (0, 3), "arrangement": "face by face", **design}
    return Bench(
        Header(design=Design(**plan), lower=Circle(kind="rotary table"), upper=Circle(kind="polygon"))
    )


@pytest.mark.parametrize(
    ("design", "place", "set_to", "first"),
    [
        # Section 2 of the design: face by face the face k + t stands at step t.
        ({}, Place(0, 0), "Table to 0°, face 0", "New run. Mark a face as 0"),
        ({}, Place(1, 0), "Table to 0°, face 3", "Turn the polygon alone: face 3 to the instrument"),
        ({}, Place(1, 6), "Table to 270°, face 1", ""),
        ({}, Place(1, 8), "Table to 0°, face 3", "Closing reading"),
        ({"offsets": (3, 3)}, Place(1, 0), "Table to 0°, face 3", "stays as it is"),
        (
            {"reading": "interval"},
            Place(1, 6),
            "Zero with table at 225°, face 0; then table to 270°, face 1",
            "",
        ),
        ({"direction": "forward and return"}, Place(3, 7), "Table to 315°, face 2", ""),
    ],
)
def test_a_polygon_series(design: dict[str, object], place: Place, set_to: str, first: str) -> None:
    instruction = polygon(**design).instruction(place, 0)
    assert instruction.set_to == set_to
    assert first in instruction.first
    assert bool(first) == bool(instruction.first)


def test_one_circle_against_a_fixed_angle() -> None:
    bench = Bench(header(closure="single", reading="interval", closing=False, offsets=(0, 0)))
    assert bench.instruction(Place(0, 1), 0).set_to == "Interval 1: from 0° to 90°"
    assert "Set the fixed angle near 90°" in bench.instruction(Place(0, 1), 0).first
    assert "stays untouched" in bench.instruction(Place(1, 1), 0).first
    assert bench.instruction(Place(1, 2), 0).where == "run 1, step 2"


def test_one_polygon_against_a_fixed_angle_is_told_its_faces() -> None:
    single = Design(7, (0,), closure="single", reading="interval", closing=False)
    bench = Bench(Header(design=single, lower=Circle(kind="polygon"), upper=None))
    assert bench.instruction(Place(0, 1), 0).set_to == "Interval 1: from face 0 to face 1"
    assert bench.instruction(Place(0, 7), 0).set_to == "Interval 7: from face 6 to face 0"
    assert "51.4286°" in bench.instruction(Place(0, 1), 0).first


@pytest.mark.parametrize(
    ("lower", "upper", "arrangement", "names"),
    [
        ("index table", "index table", "counter-rotating", ("lower", "upper")),
        ("index table", "polygon", "face by face", ("table", "face")),
        ("rotary table", "encoder", "face by face", ("table", "encoder")),
        ("rotary table", "encoder", "counter-rotating", ("lower", "upper")),
        ("encoder", "polygon", "face by face", ("encoder", "face")),
    ],
)
def test_circles_are_called_what_they_are(
    lower: str, upper: str, arrangement: str, names: tuple[str, ...]
) -> None:
    plan = Header(
        Design(8, (0, 1), arrangement=arrangement), lower=Circle(kind=lower), upper=Circle(kind=upper)
    )
    assert circle_names(plan) == names


def test_the_order_of_a_run_is_that_of_the_bench_whatever_it_goes_over() -> None:
    """Written out by hand: every second run comes back, round the circle and over arcs."""
    arcs = (Arc(2, 0), Arc(2, 1))
    design = Design(4, (0, 1), direction="forward and return", closing=False, subdivision=2, arcs=arcs)
    there, over = [0, 1, 2, 3], [0, 1, 2]
    wanted = [there, there[::-1], there, there[::-1], over, over[::-1], over, over[::-1]]
    assert [list(design.order_of(run)) for run in range(design.run_count)] == wanted
    assert [list(replace(design, direction="forward").order_of(run)) for run in range(4)] == [
        there,
        there,
        over,
        over,
    ]
