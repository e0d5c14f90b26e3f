"""Arcs put into a plan: which, where, what they cost, and what the record takes."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from sessions.analysis import analyse
from sessions.design import Arc, Design
from sessions.entries import Amend
from sessions.equipment import Circle
from sessions.extending import add_offset, outlook, removable
from sessions.header import Header
from sessions.missing import plan_words
from sessions.prospect import degrees_of_freedom, prospect
from sessions.session import Session
from sessions.subdivision import (
    begun,
    coarse,
    divided,
    proposed,
    read_intervals,
    refuse_finer,
    subdivide,
    take_back,
    unread,
    weigh_arcs,
)
from solver.arc_plan import arc_outlook
from solver.refused import Refused
from tests.sessions.kit import Clock, QuickDisk

COARSE = Design(12, (0, 1, 4))
TRIAL = (0, 1, 4, 10, 18, 30)


def begin(folder: Path, design: Design = COARSE, *, filled: bool = False) -> Session:
    session = Session.create(folder / "s.toml", Header(design), clock=Clock(), disk=QuickDisk())
    random = np.random.default_rng(3)
    for run in range(design.run_count if filled else 0):
        for step in design.steps_of(run):
            session.take(run, step, round(float(random.normal(0, 0.05)), 3))
    return session


def test_runs_are_ordered_by_arc_and_then_by_offset() -> None:
    made = divided(COARSE, 30, (3, 0, 3), (4, 0))
    assert made.arcs == (Arc(0, 4), Arc(0, 0), Arc(90, 4), Arc(90, 0))
    assert made.offsets == COARSE.offsets
    assert coarse(made) == COARSE


def test_with_one_offset_the_mirror_faces_the_instrument_in_every_arc() -> None:
    """Lower plus upper position is the offset, whichever arc: the settings of all arcs turn the mirror alike."""
    design = divided(COARSE, 30, range(12), (7,))
    closure = design.model()
    runs = design.courses(closure)
    run, step = runs.planned()
    offset, at = runs.setting(run[run >= 3], step[run >= 3])
    assert set((closure.lower(at) + closure.upper(offset, at)) % 360) == {7}


def test_the_cost_of_the_trial() -> None:
    """39 readings round the circle; 6 runs of 31 settings and a closing reading (225 without these)."""
    found = weigh_arcs(divided(COARSE, 30, (0,), TRIAL))
    assert (found.cells, found.readings, found.total_readings) == (192, 192, 231)
    assert found.complete_readings == 129_600
    assert found.hours == pytest.approx((192 * 75 + 6 * 120) / 3600)
    assert found.outlook.determined
    assert found.worst(2.0) == pytest.approx(2 * found.outlook.lower.from_first_worst**0.5)
    everywhere = weigh_arcs(divided(replace(COARSE, repeats=2), 30, range(12), TRIAL))
    assert everywhere.total_readings == 2 * (39 + 12 * 192)
    assert everywhere.outlook.lower.at.size == everywhere.outlook.upper.at.size == 348


@pytest.mark.parametrize(
    ("subdivision", "intervals", "offsets", "what"),
    [
        (1, (0,), (0, 1), "cannot be divided into 1"),
        (4000, (0,), (0, 1), "cannot be divided into 4000"),
        (30, (12,), (0, 1), "no arc 12"),
        (30, (), (0, 1), "there is no arc"),
        (30, (0,), (), "there is no arc offset"),
        (30, (0,), (0, 360), "arc offset 360 is not on the circle"),
        (300, range(12), (0, 1), "at most 1440 can be solved"),
    ],
)
def test_no_plan(subdivision: int, intervals: tuple[int, ...], offsets: tuple[int, ...], what: str) -> None:
    with pytest.raises(Refused, match=what):
        divided(COARSE, subdivision, intervals, offsets)


@pytest.mark.parametrize(
    ("header", "what"),
    [
        (Header(Design(12, (0,), closure="single", reading="interval"), upper=None), "finer steps need two"),
        (Header(Design(12, (0, 1), reading="interval", closing=False)), 'reads by "interval"'),
        (Header(COARSE, upper=Circle("polygon")), "no steps between its faces"),
    ],
)
def test_where_finer_steps_mean_nothing(header: Header, what: str) -> None:
    with pytest.raises(Refused, match=what):
        refuse_finer(header)


def test_arcs_are_two_entries_and_further_ones_follow(tmp_path: Path) -> None:
    with begin(tmp_path, filled=True) as session:
        subdivide(session, 30, (2,), (0, 1), "every degree")
        first = [entry for entry in session.entries if isinstance(entry, Amend)]
        assert [entry.field for entry in first] == ["design.subdivision", "design.arcs"]
        assert {entry.reason for entry in first} == {"every degree"}
        session.take(3, 0, 0.1)
        subdivide(session, 30, (0, 2), (1, 4), "more of them")
        assert session.header.design.arcs == (Arc(60, 0), Arc(60, 1), Arc(0, 1), Arc(0, 4), Arc(60, 4))
        with pytest.raises(Refused, match="in the plan already"):
            subdivide(session, 30, (2,), (0, 1), "again")
        before = session.path.read_bytes()
        with pytest.raises(Refused, match="in 30 fine steps an interval"):
            subdivide(session, 15, (2,), (0, 1), "coarser")
        assert session.path.read_bytes() == before
    assert Session.read(tmp_path / "s.toml").header.design.subdivision == 30


def test_arcs_not_begun_give_way_and_can_be_taken_back(tmp_path: Path) -> None:
    with begin(tmp_path) as session:
        subdivide(session, 30, (11,), (0, 1), "every degree")
        subdivide(session, 10, (0,), (0, 1, 3), "every third is enough")
        assert session.header.design == divided(COARSE, 10, (0,), (0, 1, 3))
        session.take(4, 2, 0.1)
        assert (begun(session), unread(session)) == (2, 1)
        take_back(session, "no time")
        assert session.header.design.arcs == (Arc(0, 0), Arc(0, 1))
        with pytest.raises(Refused, match="no arc can be taken back"):
            take_back(session, "no time")


def test_forward_and_return_make_two_runs_of_an_arc(tmp_path: Path) -> None:
    with begin(tmp_path, replace(COARSE, direction="forward and return")) as session:
        subdivide(session, 30, (0,), (0, 1), "every degree")
        session.take(7, 2, 0.1)
        assert (begun(session), unread(session)) == (1, 1)


def test_an_offset_more_is_weighed_by_the_runs_round_the_circle(tmp_path: Path) -> None:
    with begin(tmp_path, replace(COARSE, positions=8), filled=True) as session:
        plain = outlook(analyse(session.matrix.snapshot(), screened=False))
        subdivide(session, 4, (0,), (0, 1, 4), "every degree")
        arcs_planned = outlook(analyse(session.matrix.snapshot(), screened=False))
        assert arcs_planned.design == plain.design
        assert arcs_planned.now.lower == pytest.approx(plain.now.lower)
        for one, other in zip(arcs_planned.candidates, plain.candidates, strict=True):
            assert (one.offset, one.readings, one.unread) == (other.offset, other.readings, other.unread)
            assert one.then.lower == pytest.approx(other.then.lower)
        assert removable(session) is None
        for step in range(6):
            session.take(3, step, 0.1)
        read = outlook(analyse(session.matrix.snapshot(), screened=False), planned=True)
        assert read.to_read == 0
        assert read.now.lower / read.deviation == pytest.approx(plain.now.lower / plain.deviation)
        before = session.path.read_bytes()
        with pytest.raises(Refused, match="runs over arcs are begun"):
            add_offset(session, 6, "helps")
        assert session.path.read_bytes() == before


@pytest.mark.parametrize("direction", ["forward", "forward and return"])
@pytest.mark.parametrize("intervals", [(0,), (2, 3), tuple(range(12))])
def test_degrees_of_freedom_are_those_of_the_rank(direction: str, intervals: tuple[int, ...]) -> None:
    design = divided(replace(COARSE, direction=direction), 6, intervals, (0, 1, 4, 6))  # type: ignore[arg-type]
    closure = design.model()
    assert degrees_of_freedom(design) == arc_outlook(closure, design.courses(closure)).degrees_of_freedom


def test_the_prospect_names_the_runs_over_arcs() -> None:
    told = prospect(divided(COARSE, 30, (0,), TRIAL))
    assert told.summary.startswith(
        "12 positions 30° apart, 3 runs, 6 runs over arcs in steps of 1°, 231 cells"
    )
    assert told.summary.endswith("113 degrees of freedom")


@pytest.mark.parametrize(
    ("offsets", "intervals", "said"),
    [
        ((0, 3, 6, 12), (0,), "all multiples of 3 leave errors inside the arcs open; add one that is not"),
        ((1, 4, 10), (0, 1), "differ by multiples of 3 leave errors inside the arcs open"),
        ((0, 30), (0,), "Arc offsets 0 and 30 differ by multiples of 30 only"),
        ((4,), (0, 1), "Arc offset 4 alone leaves"),
        ((0, 7), (0,), "The lower circle stays open at 1°, 2°, 3°"),
    ],
)
def test_what_stays_open_inside_arcs_is_said(
    offsets: tuple[int, ...], intervals: tuple[int, ...], said: str
) -> None:
    design = divided(COARSE, 30, intervals, offsets)
    assert said in " ".join(plan_words(design))
    assert prospect(design).cautions == plan_words(design)
    # What is advised helps.
    assert plan_words(divided(COARSE, 30, intervals, (*offsets, offsets[0] + 1))) == ()


@pytest.mark.parametrize("m", [2, 3, 6])
def test_plan_words_agree_with_the_rank_for_all_pairs_of_arc_offsets(m: int) -> None:
    for first in range(m + 1):
        for second in range(first, m + 1):
            for intervals in ((1,), (0, 1), range(5)):
                design = divided(Design(5, (0, 1, 2)), m, intervals, sorted({first, second}))
                closure = design.model()
                determined = arc_outlook(closure, design.courses(closure)).determined
                assert bool(plan_words(design)) == (not determined), (first, second)


def test_the_offsets_round_the_circle_come_first() -> None:
    assert (
        "share a factor with 12" in plan_words(divided(replace(COARSE, offsets=(0, 2)), 30, (0,), (0, 3)))[0]
    )


def test_while_reading_the_words_follow(tmp_path: Path) -> None:
    with begin(tmp_path, filled=True) as session:
        assert analyse(session.matrix.snapshot()).missing == ()
        subdivide(session, 5, (0,), (0, 1), "fine")
        (said,) = analyse(session.matrix.snapshot()).missing
        assert said.startswith("The 12 positions are determined; inside the arcs at least ")
        for run in (3, 4):
            for step in range(7):
                session.take(run, step, 0.1)
        assert analyse(session.matrix.snapshot()).missing == ()
    (tmp_path / "other").mkdir()
    with begin(tmp_path / "other", divided(COARSE, 30, (0,), (0, 7)), filled=True) as session:
        assert "stays open at 1°" in analyse(session.matrix.snapshot()).missing[0]


def test_proposed_offsets_suit_the_plan() -> None:
    offsets = proposed(COARSE, 30)
    assert len(offsets) == 6
    assert plan_words(divided(COARSE, 30, (0,), offsets)) == ()
    with pytest.raises(Refused, match="cannot be divided"):
        proposed(COARSE, 1)


def test_which_arcs() -> None:
    assert read_intervals(" All ", 12) == tuple(range(12))
    assert read_intervals("0, 3 5", 12) == (0, 3, 5)
    with pytest.raises(Refused, match="no whole number"):
        read_intervals("0 to 3", 12)


@pytest.mark.parametrize("coarse_offsets", [(0,), (0, 3)])
def test_arcs_that_determine_the_circle_are_not_said_to_leave_it_open(
    tmp_path: Path, coarse_offsets: tuple[int, ...]
) -> None:
    """By the rank of the design written out setting by setting, numpy's (general-purpose reference library)."""
    design = divided(Design(6, coarse_offsets, closing=False), 4, range(6), (0, 1, 3, 5, 6, 9))
    rank, unknowns = dense_rank(design)
    assert rank == unknowns
    assert plan_words(design) == ()
    assert prospect(design).summary.endswith("of freedom")
    assert "determine" not in " ".join(prospect(design).cautions)
    session = begin(tmp_path, design)
    session.take(0, 0, 0.1)
    session.take(design.whole_runs, 0, 0.1)
    (said,) = analyse(session.matrix.snapshot()).missing
    assert said.startswith("At least ")
    drifting = replace(design, drift="linear")
    rank, unknowns = dense_rank(drifting)
    assert rank < unknowns
    assert any("a drift cannot be told" in words for words in plan_words(drifting))


def dense_rank(design: Design) -> tuple[int, int]:
    """Return rank, and unknowns less the two means: lower L and upper k - L, a constant and a drift for each run."""
    rows, whole, shared = [], 2 * design.fine, 1 + (design.drift == "linear")
    for run in design.runs:
        arc = run.arc is not None
        for step in design.steps_of(run.number):
            row = np.zeros(whole + shared * design.run_count)
            at = run.arc.start + step if run.arc is not None else step * design.subdivision
            offset = run.offset if arc else run.offset * design.subdivision
            row[at % design.fine] += 1
            row[design.fine + (offset - at) % design.fine] += 1
            row[whole + shared * run.number : whole + shared * (run.number + 1)] = (1, step)[:shared]
            rows.append(row)
    return int(np.linalg.matrix_rank(np.array(rows))), whole + shared * design.run_count - 2
