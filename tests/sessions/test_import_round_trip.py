"""Export and import undo each other: the same values at the same places, to the last digit."""

from __future__ import annotations

import csv
import io
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sessions.design import Design
from sessions.entries import Note, Reading
from sessions.equipment import Instrument
from sessions.export import export_long, export_matrix, write_csv
from sessions.header import Header
from sessions.import_table import understand
from sessions.import_wanted import Wanted
from sessions.importing import read_table, record_table
from sessions.matrix import Matrix, Snapshot
from sessions.session import Session
from solver.refused import Refused
from tests.sessions.kit import START, Clock, QuickDisk, every_kind, example_header

DESIGNS = (
    Design(4, (0, 1, 1), repeats=2),
    Design(4, (0, 1, 3), closing=False),
    Design(3, (0, 2), direction="forward and return"),
    Design(4, (0, 1, 2, 3), reading="interval"),
    Design(4, (0, 0), closure="single", reading="interval"),
    Design(5, (0, 1, 4), arrangement="face by face", drift="linear"),
)
numbers = st.floats(-1e6, 1e6, allow_nan=False).map(lambda value: value + 0.0)


@st.composite
def tables(draw: st.DrawFn) -> Snapshot:
    """A session with any readings, some cells empty, some with repeats; at least one cell filled."""
    design = draw(st.sampled_from(DESIGNS))
    matrix = Matrix(Header(design=design))
    number = 0
    for run in range(design.run_count):
        for step in design.steps:
            for value in draw(st.lists(numbers, max_size=3)):
                number += 1
                matrix.add(Reading(number, START, run, step, value))
    if not number:
        matrix.add(Reading(1, START, 0, design.first_step, draw(numbers)))
    return matrix.snapshot()


def accepted(snapshot: Snapshot) -> dict[tuple[int, int], list[float]]:
    return {
        place: [reading.value for reading in readings if reading.counts]
        for place, readings in snapshot.cells.items()
        if any(reading.counts for reading in readings)
    }


@settings(max_examples=150, deadline=None)
@given(tables(), st.sampled_from([(",", "."), (";", ","), ("\t", ","), (",", ",")]))
def test_export_then_import(snapshot: Snapshot, dialect: tuple[Any, Any]) -> None:
    design = snapshot.header.design
    text = export_matrix(snapshot, *dialect)
    # A table of nothing but numbers like 1,234 cannot tell the decimal sign; then it is said.
    found = understand(text.encode(), "t.csv", Wanted(closing=design.closing, decimal=dialect[1]), {})
    back: dict[tuple[int, int], list[float]] = {}
    for reading in found.readings:
        back.setdefault((reading.run, reading.step), []).append(reading.value)
    assert back == accepted(snapshot)
    plan = found.header.design
    assert (plan.positions, plan.offsets, plan.direction) == (
        design.positions,
        design.offsets,
        design.direction,
    )
    assert (plan.closure, plan.reading) == (design.closure, design.reading)


@pytest.mark.parametrize("design", DESIGNS)
def test_nothing_need_be_said_of_an_exported_table(design: Design) -> None:
    matrix = Matrix(Header(design=design))
    for number, (run, step) in enumerate(
        ((run, step) for run in range(design.run_count) for step in design.steps), start=1
    ):
        matrix.add(Reading(number, START, run, step, number / 8))
    found = understand(export_matrix(matrix.snapshot()).encode(), "t.csv", Wanted(), {})
    again = Matrix(found.header)
    for number, reading in enumerate(found.readings, start=1):
        again.add(Reading(number, START, reading.run, reading.step, reading.value))
    assert accepted(again.snapshot()) == accepted(matrix.snapshot())
    assert found.header.design.closing == (design.closing and design.reading == "position")


def test_import_then_export(tmp_path: Path) -> None:
    text = "step (3 positions),run 0 offset 0,run 1 offset 2\r\n0,0.1,-2.5\r\n1,0.30000000000000004,\r\n"
    text += "2,1e-07,123456.789\r\n3 closing,0.1,7.0\r\n"
    found = understand(text.encode(), "t.csv", Wanted(), {})
    path = tmp_path / "t.toml"
    assert record_table(found, path) == 7
    with Session.read(path) as session:
        assert export_matrix(session.matrix.snapshot()) == text


def test_the_record_tells_where_every_reading_is_from(tmp_path: Path) -> None:
    source = tmp_path / "old readings.csv"
    source.write_bytes(b"step;offset 0;offset 1\r\n0;1,5;2,5\r\n1;3,5;\r\n2;0,5;6,5\r\n")
    found = understand(read_table(source), source.name, Wanted(closing=True), {"operator": "A. Example"})
    path = tmp_path / "new" / "old.toml"
    date = START.replace(year=2024)
    record_table(found, path, date=date, clock=Clock())
    with Session.open(path, clock=Clock()) as session:
        assert session.header.created == date
        assert session.header.operator == "A. Example"
        assert session.header.title == "old readings"
        note, *readings = session.entries
        assert isinstance(note, Note)
        for words in (
            "old readings.csv",
            "SHA-256 " + found.sha256,
            "B2:C4",
            "rows 2 to 4: steps 0 to 2, step 2 is the closing reading",
            "B: run 0 offset 0, C: run 1 offset 1",
            "2024-03-02 was given, imported 2026-03-02",
        ):
            assert words in note.text
        assert all(entry.time == date for entry in session.entries)
        taken = [(entry.run, entry.step, entry.value) for entry in readings if isinstance(entry, Reading)]
        assert taken == [(0, 0, 1.5), (0, 1, 3.5), (0, 2, 0.5), (1, 0, 2.5), (1, 2, 6.5)]
        assert session.notices == ()
        # The session goes on like any other.
        assert session.take(1, 1, 4.5).number == 7


def test_nothing_is_overwritten_and_nothing_half_written_stays(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    found = understand(b"step,offset 0\n0,1.5\n1,2.5\n", "t.csv", Wanted(closing=False), {})
    path = tmp_path / "t.toml"
    path.write_text("mine")
    with pytest.raises(Refused, match="there already"):
        record_table(found, path)
    assert path.read_text() == "mine"
    path.unlink()

    def full(self: Session, run: int, step: int, value: float) -> Reading:
        raise Refused("not recorded: the disk is full")

    monkeypatch.setattr(Session, "take", full)
    with pytest.raises(Refused, match="disk is full"):
        record_table(found, path)
    assert not path.exists()


def test_a_table_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(Refused, match="no such file"):
        read_table(tmp_path / "none.csv")


def test_struck_readings_are_in_the_long_list_only(tmp_path: Path) -> None:
    session = every_kind(tmp_path / "s.toml")
    session.strike(12, 'typed twice; "sorry"\nsecond line, Tür')
    snapshot = session.matrix.snapshot()
    session.close()
    rows = list(csv.DictReader(io.StringIO(export_long(snapshot), newline="")))
    assert [row["entry"] for row in rows] == ["1", "2", "3", "12", "14"]
    assert rows[3]["status"] == "struck"
    assert rows[3]["reason"] == 'typed twice; "sorry"\nsecond line, Tür'
    assert (rows[3]["run"], rows[3]["offset"], rows[3]["step"]) == ("3", "9", "12")
    assert float(rows[3]["value"]) == 123456.789
    assert rows[0]["time"].startswith("2026-03-02T08:52:")
    assert "123456.789" not in export_matrix(snapshot)
    target = tmp_path / "long.csv"
    write_csv(target, export_long(snapshot, ";", ","))
    assert target.read_bytes().startswith(b"\xef\xbb\xbf")
    assert "123456,789;struck" in target.read_text(encoding="utf-8-sig")
    with pytest.raises(Refused, match="there already"):
        write_csv(target, "")
    with pytest.raises(Refused):
        write_csv(tmp_path / "none" / "x.csv", "")


def test_a_session_without_readings_exports_its_plan(tmp_path: Path) -> None:
    with Session.create(tmp_path / "s.toml", example_header(), clock=Clock(), disk=QuickDisk()) as session:
        text = export_matrix(session.matrix.snapshot())
    lines = text.split("\r\n")
    assert lines[0] == "step (12 positions),run 0 offset 0,run 1 offset 1,run 2 offset 4"
    assert lines[13] == "12 closing,,,"


def test_the_instruments_unit_is_kept() -> None:
    header = Header(design=DESIGNS[0], instrument=Instrument(unit="urad"))
    matrix = Matrix(header)
    matrix.add(Reading(1, START, 0, 0, 4.84813681109536))
    assert "4.84813681109536" in export_matrix(matrix.snapshot())
