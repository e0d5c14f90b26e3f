"""Every cell of the table of status and event, in a session and in a file."""

from collections.abc import Callable
from pathlib import Path
from typing import get_args

import pytest

from sessions.matrix import Status
from sessions.session import Session
from sessions.transitions import REFUSALS, TRANSITIONS, Event
from solver.refused import Refused
from tests.sessions.kit import Clock, QuickDisk, example_header

# The table once more, written out from the contract, not taken from the code.
TABLE = [
    ("accepted", "strike", "struck"),
    ("accepted", "keep", "kept"),
    ("accepted", "restore", None),
    ("struck", "strike", None),
    ("struck", "keep", None),
    ("struck", "restore", "accepted"),
    ("kept", "strike", "struck"),
    ("kept", "keep", None),
    ("kept", "restore", "accepted"),
]


@pytest.fixture
def session(tmp_path: Path) -> Session:
    return Session.create(tmp_path / "s.toml", example_header(), clock=Clock(), disk=QuickDisk())


def bring(session: Session, status: str) -> int:
    number = session.take(0, 0, 1.0).number
    if status == "struck":
        session.strike(number, "door")
    if status == "kept":
        session.keep(number, "seen")
    return number


def happen(session: Session, event: str, number: int) -> None:
    actions: dict[str, Callable[[], object]] = {
        "strike": lambda: session.strike(number, "again"),
        "keep": lambda: session.keep(number, "again"),
        "restore": lambda: session.restore(number),
    }
    actions[event]()


def test_table_is_complete() -> None:
    pairs = {(status, event) for status in get_args(Status) for event in get_args(Event)}
    assert {(status, event) for status, event, _ in TABLE} == pairs
    assert TRANSITIONS.keys() | REFUSALS.keys() == pairs
    assert not TRANSITIONS.keys() & REFUSALS.keys()


@pytest.mark.parametrize(("status", "event", "after"), TABLE)
def test_every_cell(session: Session, status: str, event: str, after: str | None) -> None:
    number = bring(session, status)
    before = session.path.read_bytes(), session.entries, session.matrix.readings(0, 0)
    if after is None:
        with pytest.raises(Refused, match=f"reading {number} "):
            happen(session, event, number)
        assert (session.path.read_bytes(), session.entries, session.matrix.readings(0, 0)) == before
        return
    happen(session, event, number)
    (reading,) = session.matrix.readings(0, 0)
    assert reading.status == after
    assert session.matrix.count[0, 0] == (after != "struck")
    assert (session.matrix.accepted, session.matrix.struck) == ((0, 1) if after == "struck" else (1, 0))
    session.close()
    assert Session.read(session.path).matrix.readings(0, 0) == (reading,)


@pytest.mark.parametrize("status", ["struck", "kept"])
def test_restore_takes_the_number_of_what_it_undoes(session: Session, status: str) -> None:
    number = bring(session, status)
    done = session.restore(session.entries[-1].number, "wrong one")
    assert done.entry == number
    assert session.matrix.readings(0, 0)[0].status == "accepted"


def test_restore_written_with_the_number_of_the_strike_is_read(session: Session) -> None:
    number = bring(session, "struck")
    session.close()
    block = '\n[[entry]]\nkind = "restore"\ntime = 2026-03-02T09:00:00Z\nentry = 2\nend = 3\n'
    with session.path.open("a", newline="") as file:
        file.write(block)
    again = Session.read(session.path)
    assert again.entries[-1].entry == 2
    assert again.matrix.reading(number).status == "accepted"


def test_reason_must_be_given(session: Session) -> None:
    number = session.take(0, 0, 1.0).number
    for reason in ("", "  ", "\n"):
        with pytest.raises(Refused, match="empty"):
            session.strike(number, reason)
        with pytest.raises(Refused, match="empty"):
            session.keep(number, reason)
        with pytest.raises(Refused, match="empty"):
            session.split(0, 3, reason)
    assert len(session.entries) == 1


@pytest.mark.parametrize("number", [0, -1, 2, 3, 99])
def test_only_readings_are_struck(session: Session, number: int) -> None:
    session.take(0, 0, 1.0)
    session.note("a note")
    for event in ("strike", "keep", "restore"):
        with pytest.raises(Refused):
            happen(session, event, number)
    assert len(session.entries) == 2


def test_split_and_its_undoing(session: Session) -> None:
    split = session.split(1, 5, "mirror touched")
    assert session.matrix.splits == ((1, 5),)
    with pytest.raises(Refused, match="split at step 5 already"):
        session.split(1, 5, "again")
    session.split(1, 3, "again")
    assert session.matrix.splits == ((1, 3), (1, 5))
    assert session.restore(split.number).entry == split.number
    assert session.matrix.splits == ((1, 3),)
    with pytest.raises(Refused, match="undone already"):
        session.restore(split.number)
    session.split(1, 5, "after all")
    session.close()
    assert Session.read(session.path).matrix.splits == ((1, 3), (1, 5))


@pytest.mark.parametrize(("run", "step"), [(0, 0), (0, 13), (0, -1), (3, 5), (-1, 5)])
def test_split_lies_within_a_run(session: Session, run: int, step: int) -> None:
    with pytest.raises(Refused):
        session.split(run, step, "mirror touched")
    assert session.entries == ()
