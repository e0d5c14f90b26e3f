"""Where the bench goes next, and what it is told to set."""

import numpy as np
import pytest

from sessions.bench import Bench, Place, angle_words
from sessions.header import Circle, Design, Header


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


def test_a_gap_is_left_until_the_end() -> None:
    bench = Bench(header())
    count = np.zeros((2, 5), dtype=np.int64)
    count[0, 0] = 1
    count[0, 2] = 1
    assert bench.next_after(Place(0, 2), count) == Place(0, 3)
    count[:] = 1
    count[0, 1] = 0
    assert bench.next_after(Place(1, 4), count) == Place(0, 1)
    count[0, 1] = 1
    assert bench.next_after(Place(0, 1), count) is None


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
        ({}, Place(1, 0), 0, "Lower to 0°, upper to 90°", "turn the mirror back"),
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
