"""Amendments: what may change when, and that the header in the file never does."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from sessions.design import Design
from sessions.equipment import Circle
from sessions.header import Header
from sessions.session import Session
from solver.refused import Refused
from tests.sessions.kit import Clock, QuickDisk, example_header


@pytest.fixture
def session(tmp_path: Path) -> Session:
    return Session.create(tmp_path / "s.toml", example_header(), clock=Clock(), disk=QuickDisk())


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("title", "another title"),
        ("operator", "B. Example"),
        ("instrument.polarity", -1),
        ("instrument.unit", "urad"),
        ("instrument.range", 100),
        ("lower.tolerance", 1.5),
        ("upper.kind", "index table"),
        ("design.offsets", [0, 1, 4, 0]),
        ("design.offsets", (0, 1, 5)),
        ("design.offsets", np.array([0, 1, 4, 9])),
        ("design.repeats", np.int64(3)),
        ("design.drift", "linear"),
        ("design.arrangement", "face by face"),
        ("design.closing", False),
    ],
)
def test_field_changes_and_the_file_keeps_its_header(session: Session, field: str, value: object) -> None:
    session.take(2, 3, 1.0)
    before = session.path.read_bytes()
    session.amend(field, value, "wrong in the plan")
    part, _, key = field.rpartition(".")
    now = getattr(getattr(session.header, part) if part else session.header, key)
    assert now == (tuple(value) if key == "offsets" else value)
    assert session.path.read_bytes().startswith(before)
    session.close()
    again = Session.read(session.path)
    assert again.header == session.header
    assert again.matrix.count.shape == session.matrix.count.shape
    assert again.matrix.readings(2, 3) == session.matrix.readings(2, 3)
    assert again.matrix.filled == 1


@pytest.mark.parametrize(
    ("field", "value", "where"),
    [
        ("design.offsets", [0, 1], "design.offsets"),
        ("design.offsets", [0, 1, 12], "design.offsets"),
        ("design.offsets", [], "design.offsets"),
        ("design.positions", 11, "design.positions"),
        ("design.closing", False, "design.closing"),
        ("design.reading", "interval", "design.reading"),
        ("design.direction", "forward and return", "design.direction"),
        ("design.closure", "single", "design.reading"),
        ("design.repeats", "2", "design.repeats"),
        ("instrument.polarity", 0, "instrument.polarity"),
        ("lower.tolerance", None, "value"),
        ("lower.tolerance", float("nan"), "value"),
        ("lower", {}, "field"),
        ("version", 1, "field"),
        ("format", "x", "field"),
        ("colour", "red", "field"),
        ("", "red", "field"),
    ],
)
def test_what_would_not_fit_is_refused(session: Session, field: str, value: object, where: str) -> None:
    session.take(2, 12, 1.0)
    session.strike(1, "a struck reading holds its place as well")
    before = session.path.read_bytes(), session.entries, session.header
    with pytest.raises(Refused) as caught:
        session.amend(field, value, "wrong in the plan")
    assert caught.value.where == where
    assert (session.path.read_bytes(), session.entries, session.header) == before


def test_unknown_field_is_refused_with_the_nearest(session: Session) -> None:
    with pytest.raises(Refused, match=r"design\.offset\b.*design\.offsets"):
        session.amend("design.offset", [0], "typed wrong")


def test_reason_is_needed(session: Session) -> None:
    with pytest.raises(Refused, match="empty"):
        session.amend("title", "a", " ")


def test_anything_goes_before_the_first_reading(session: Session) -> None:
    session.amend("design.reading", "interval", "other instrument")
    session.amend("design.positions", 24, "other table")
    assert session.matrix.count.shape == (3, 25)
    session.take(0, 24, 1.0)


def test_split_keeps_its_place(session: Session) -> None:
    session.split(2, 7, "mirror touched")
    with pytest.raises(Refused):
        session.amend("design.offsets", [0, 1], "fewer")


def test_new_run_can_be_read_at_once(session: Session) -> None:
    session.take(0, 0, 1e6 + 0.25)
    with pytest.raises(Refused, match="no run 3"):
        session.take(3, 0, 1.0)
    session.amend("design.offsets", [0, 1, 4, 9], "one more")
    session.take(3, 0, 1.0)
    assert session.matrix.base.tolist() == [1e6 + 0.25, 0.0, 0.0, 1.0]
    assert session.matrix.count[:, 0].tolist() == [1, 0, 0, 1]


def test_circle_that_was_not_there(tmp_path: Path) -> None:
    header = Header(Design(12, (0,), closure="single", reading="interval"), upper=None)
    session = Session.create(tmp_path / "s.toml", header, clock=Clock(), disk=QuickDisk())
    session.amend("upper.name", "HT-11", "noted")
    assert session.header == replace(header, upper=Circle(name="HT-11"))


@pytest.mark.parametrize("struck", [False, True])
def test_the_closing_reading_stays_one(session: Session, struck: bool) -> None:
    """At 24 positions step 12 would be half a turn, and no longer the step that closes the run (own reasoning)."""
    session.take(2, 12, 1.0)
    if struck:
        session.strike(1, "wrong")
    with pytest.raises(Refused, match="positions cannot change once readings are taken") as caught:
        session.amend("design.positions", 24, "other table")
    assert caught.value.where == "design.positions"
    session.amend("design.positions", 12, "as it is")


def test_a_second_circle_cannot_come_in_once_readings_are_taken(tmp_path: Path) -> None:
    header = Header(Design(12, (0,), closure="single", reading="interval"), upper=None)
    session = Session.create(tmp_path / "s.toml", header, clock=Clock(), disk=QuickDisk())
    session.amend("design.closure", "dual", "two after all")
    session.amend("design.closure", "single", "one after all")
    session.take(0, 12, 1.0)
    with pytest.raises(Refused, match="closure cannot change once readings are taken"):
        session.amend("design.closure", "dual", "two after all")
