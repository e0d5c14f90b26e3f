"""Arcs in fine steps: their place in the file, what the bench is told, and what may be amended."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from sessions.bench import Bench, Place
from sessions.design import Arc, Design, measured_positions
from sessions.equipment import Circle
from sessions.flow import Flow
from sessions.header import Header, header_table, read_header
from sessions.session import Session
from solver.refused import Refused
from tests.sessions.kit import Clock, QuickDisk

ARCS = tuple(Arc(30, offset) for offset in (0, 1, 4, 10))
DESIGN = Design(12, (0, 1, 4), subdivision=30, arcs=ARCS)


def begun(folder: Path, design: Design = DESIGN) -> Session:
    return Session.create(folder / "s.toml", Header(design), clock=Clock(), disk=QuickDisk())


def test_the_header_holds_them_and_leaves_them_out_where_there_are_none() -> None:
    header = Header(DESIGN)
    table = header_table(header)
    assert table["design"]["subdivision"] == 30
    assert table["design"]["arcs"] == [[30, 0], [30, 1], [30, 4], [30, 10]]
    assert read_header(table) == header
    plain = header_table(Header(Design(12, (0, 1))))["design"]
    assert not {"subdivision", "arcs"} & plain.keys()


def test_cells_and_positions_of_the_plan() -> None:
    assert DESIGN.run_count == 7
    assert [len(DESIGN.steps_of(run)) for run in range(7)] == [13] * 3 + [32] * 4
    assert DESIGN.planned_cells == 3 * 13 + 4 * 32
    lower, upper = measured_positions(DESIGN)
    assert set(lower) == {*range(0, 360, 30), *range(30, 61)}
    # Upper = offset - lower, lower from 30 to 60.
    assert set(upper) == {*range(0, 360, 30)} | {(k - t) % 360 for k in (0, 1, 4, 10) for t in range(30, 61)}
    assert replace(DESIGN, direction="forward and return", closing=False).planned_cells == 2 * (36 + 4 * 31)


@pytest.mark.parametrize(
    ("change", "what"),
    [
        ({"subdivision": 1}, "no interval is divided"),
        ({"arcs": [[360, 0]]}, "a list of pairs of whole numbers from 0 to 359"),
        ({"arcs": [[0]]}, "a list of pairs"),
        ({"arcs": [0, 1]}, "a list of pairs"),
        ({"arcs": 3}, "a list of pairs"),
        ({"reading": "interval"}, 'read by "position"'),
        ({"subdivision": 0}, "a whole number from 1"),
        (
            {"positions": 72, "subdivision": 300, "arcs": [[300 * at, 0] for at in range(10)]},
            "positions of a circle",
        ),
    ],
)
def test_refused(change: dict[str, object], what: str) -> None:
    table = header_table(Header(DESIGN))
    table["design"] |= change
    with pytest.raises(Refused, match=what) as refused:
        read_header(table)
    assert "design." in refused.value.where


def test_a_polygon_has_no_steps_between_its_faces() -> None:
    with pytest.raises(Refused, match="between its faces"):
        read_header(header_table(Header(DESIGN, upper=Circle(kind="polygon"))))


def test_the_bench_goes_over_the_arcs_after_the_circle() -> None:
    bench = Bench(Header(DESIGN))
    places = bench.places()
    assert len(places) == DESIGN.planned_cells
    assert places[38:40] == (Place(2, 12), Place(3, 0))
    assert places[-1] == Place(6, 31)
    assert bench.following(Place(3, 31)) == Place(4, 0)
    both = Bench(Header(replace(DESIGN, direction="forward and return")))
    assert both.following(Place(6, 31)) == Place(7, 31)
    assert both.following(Place(7, 0)) == Place(8, 0)


def test_what_to_set() -> None:
    bench = Bench(Header(DESIGN))
    first = bench.instruction(Place(5, 0), 0)
    assert first.set_to == "Lower to 30°, upper to 334°"
    assert first.where == "run 5, arc 30° to 60°, offset 4°, step 0"
    assert first.first.startswith("New run. Lower at 30°, upper at 334°; mirror back")
    assert bench.instruction(Place(5, 7), 0).set_to == "Lower to 37°, upper to 327°"
    closing = bench.instruction(Place(5, 31), 0)
    assert closing.set_to == first.set_to
    assert closing.first == "Closing reading: back where the arc begins."
    # The last run round the circle stands at offset 4 of 12, which is 120°: not where the arc at 0° begins.
    assert "mirror back" in bench.instruction(Place(3, 0), 0).first
    along = Bench(Header(replace(DESIGN, arcs=(Arc(0, 120), Arc(30, 120)))))
    assert along.instruction(Place(3, 0), 0).first.endswith("upper at 120°; the offset stays.")
    assert along.instruction(Place(4, 0), 0).first.endswith("Lower at 30°, upper at 90°; the offset stays.")


def test_face_by_face_both_rise() -> None:
    design = replace(DESIGN, arrangement="face by face")
    header = Header(design, Circle(kind="rotary table"), Circle(kind="encoder"))
    assert Bench(header).instruction(Place(5, 7), 0).set_to == "Table to 37°, encoder to 41°"


def test_a_step_beyond_its_run_is_refused(tmp_path: Path) -> None:
    with begun(tmp_path) as session:
        session.take(3, 31, 0.1)
        with pytest.raises(Refused, match="no step 13 in run 2, which has steps 0 to 12"):
            session.take(2, 13, 0.1)
        with pytest.raises(Refused, match="no step 32 in run 3"):
            session.take(3, 32, 0.1)
        with pytest.raises(Refused, match="no run 7"):
            session.take(7, 0, 0.1)


def test_arcs_are_amended_in_after_the_circle(tmp_path: Path) -> None:
    with begun(tmp_path, Design(12, (0, 1, 4))) as session:
        flow = Flow(session)
        for place in flow.bench.places():
            flow.move(place.run, place.step)
            flow.enter("0.1")
        session.amend("design.subdivision", 30, "finer steps")
        session.amend("design.arcs", [[0, 0], [0, 1]], "finer steps")
        flow.header_changed()
        assert flow.remaining() == 64
        assert flow.place == flow.next == Place(3, 0)
    again = Session.read(tmp_path / "s.toml")
    assert again.header.design.arcs == (Arc(0, 0), Arc(0, 1))
    assert again.matrix.filled == 39


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("design.offsets", [0, 1, 4, 6]),
        ("design.offsets", [0, 1]),
        ("design.subdivision", 15),
        ("design.arcs", [[30, 0], [30, 2], [30, 4], [30, 10]]),
        ("design.arcs", [[30, 0]]),
        ("design.positions", 36),
    ],
)
def test_readings_over_an_arc_never_come_to_belong_elsewhere(
    tmp_path: Path, field: str, value: object
) -> None:
    with begun(tmp_path) as session:
        session.take(4, 3, 0.1)
        with pytest.raises(Refused):
            session.amend(field, value, "try")
        assert session.header.design == DESIGN
        session.amend("design.arcs", [[30, 0], [30, 1]], "the others are not read after all")
        session.amend("design.arcs", [[30, 0], [30, 1], [60, 0]], "a further arc")
        session.take(5, 31, 0.2)
