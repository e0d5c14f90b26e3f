"""What is missing is said in words, and only when it is."""

import numpy as np
import pytest

from sessions.design import Design
from sessions.missing import missing_words, plan_words
from solver.adjust import adjust
from solver.cells import gather


def words(design: Design, places: list[tuple[int, int]]) -> str:
    run, step = np.array(places, dtype=int).reshape(-1, 2).T
    cells = gather(run, step, np.zeros(len(run)), runs=design.run_count)
    offset = np.array([item.offset for item in design.runs])
    return " ".join(missing_words(design, cells, adjust(design.model(), offset, cells)))


def whole(design: Design, *runs: int) -> list[tuple[int, int]]:
    return [(run, step) for run in runs for step in design.steps]


PAIR = Design(positions=12, offsets=(0, 1))


def test_nothing_is_missing_once_all_is_determined() -> None:
    assert words(PAIR, whole(PAIR, 0, 1)) == ""


def test_one_offset_needs_a_second() -> None:
    assert "second offset" in words(PAIR, whole(PAIR, 0))


def test_no_readings() -> None:
    assert words(PAIR, []) == "No readings yet."


def test_the_number_of_readings_still_needed_is_said() -> None:
    # The second run ties in one more error with each cell; 12 steps and the closing reading are enough with one spare.
    places = whole(PAIR, 0) + whole(PAIR, 1)[:8]
    said = words(PAIR, places)
    assert "more readings" in said
    count = int(said.split()[2])
    order = whole(PAIR, 1)[8:]
    assert words(PAIR, places + order[: count - 1]) != ""
    assert words(PAIR, places + order[:count]) == ""


@pytest.mark.parametrize(
    ("offsets", "said"),
    [
        ((0, 6), "Offsets 0 and 6 share a factor with 12; add one that does not."),
        ((1, 7), "The differences of offsets 1 and 7 share the factor 6 with 12"),
        ((0, 4, 8), "Offsets 0, 4 and 8 share a factor with 12"),
        ((3, 3), "Offset 3 alone determines nothing"),
        ((5,), "Offset 5 alone determines nothing"),
    ],
)
def test_a_plan_that_cannot_work_is_said_to(offsets: tuple[int, ...], said: str) -> None:
    design = Design(positions=12, offsets=offsets)
    assert said in " ".join(plan_words(design))
    assert said in words(design, whole(design, *range(design.run_count)))


@pytest.mark.parametrize("n", [6, 8, 12])
def test_plan_words_agree_with_the_rank_for_all_pairs_and_triples(n: int) -> None:
    for a in range(n):
        for b in range(a, n):
            for offsets in ((0, a), (0, a, b), (a, b)):
                design = Design(positions=n, offsets=offsets, closing=False)
                cells = gather(*np.array(whole(design, *range(len(offsets)))).T, np.zeros(n * len(offsets)))
                solved = adjust(design.model(), np.array(offsets), cells)
                assert bool(plan_words(design)) == (not solved.determined), offsets


def test_drift_without_closing_readings() -> None:
    design = Design(positions=12, offsets=(0, 1, 4), closing=False, drift="linear")
    assert "closing readings" in words(design, whole(design, 0, 1, 2))


def test_single_closure_names_the_intervals_without_reading() -> None:
    design = Design(positions=8, offsets=(0, 0), closure="single", reading="interval")
    said = words(design, [(0, step) for step in range(1, 9) if step not in (3, 5)])
    assert said.startswith("Intervals 3 and 5 have no reading yet")
