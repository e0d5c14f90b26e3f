"""A session from beginning to end: what is recorded comes back, what is refused changes nothing."""

import tomllib
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sessions.design import Design
from sessions.equipment import Circle
from sessions.header import Header
from sessions.session import Session
from solver.refused import Refused
from tests.sessions.kit import DESIGN_EXAMPLE, START, Clock, QuickDisk, every_kind, example_header


def begin(path: Path, header: Header | None = None) -> Session:
    return Session.create(path, header or example_header(), clock=Clock(), disk=QuickDisk())


def test_every_kind_of_entry_comes_back(tmp_path: Path) -> None:
    with every_kind(tmp_path / "s.toml") as session:
        pass
    again = Session.read(session.path)
    assert again.entries == session.entries
    assert again.header == session.header
    assert [entry.number for entry in again.entries] == list(range(1, 15))
    for name in ("count", "mean", "squares", "base"):
        np.testing.assert_array_equal(getattr(again.matrix, name), getattr(session.matrix, name))
    for name in ("filled", "accepted", "struck", "last", "splits"):
        assert getattr(again.matrix, name) == getattr(session.matrix, name)


def test_example_of_the_design_document(tmp_path: Path) -> None:
    path = tmp_path / "s.toml"
    path.write_text(DESIGN_EXAMPLE, encoding="utf-8")
    session = Session.read(path)
    assert session.matrix.count.sum() == 0
    assert session.matrix.readings(0, 0)[0].reason == "door opened"
    with Session.open(path, clock=Clock(), disk=QuickDisk()) as session:
        assert session.take(2, 12, 0.5).number == 3
    assert path.read_text(encoding="utf-8").startswith(DESIGN_EXAMPLE)
    assert len(Session.read(path).entries) == 3


def test_file_is_toml_that_any_reader_reads(tmp_path: Path) -> None:
    with every_kind(tmp_path / "s.toml") as session:
        pass
    text = session.path.read_text(encoding="utf-8")
    table = tomllib.loads(text)
    assert table["format"] == "fullturn session"
    assert [entry["end"] for entry in table["entry"]] == list(range(1, 15))
    assert all(list(entry)[-2:] == ["check", "end"] for entry in table["entry"])
    assert table["entry"][0]["time"] == START + timedelta(seconds=20)
    assert "offsets = [0, 1, 4]\n" in text
    assert (
        '\n\n[[entry]]\nkind = "reading"\ntime = 2026-03-02T08:52:30+00:00\nrun = 0\nstep = 0\nvalue = 0.12\n'
        in text
    )


@settings(max_examples=60, deadline=None)
@given(st.lists(st.floats(-1e12, 1e12), min_size=1, max_size=12))
def test_readings_come_back_bit_by_bit(tmp_path_factory: pytest.TempPathFactory, values: list[float]) -> None:
    session = begin(tmp_path_factory.mktemp("bits") / "s.toml")
    for value in values:
        session.take(0, 0, value)
    session.close()
    again = [entry.value.hex() for entry in Session.read(session.path).entries]
    assert again == [float(value).hex() for value in values]


def test_numbers_of_other_libraries_will_do(tmp_path: Path) -> None:
    session = begin(tmp_path / "s.toml")
    assert session.take(np.int64(1), np.uint8(2), np.float32(0.5)).value == 0.5
    assert session.take(1, 2, 3).value == 3.0
    assert type(session.entries[0].run) is int
    assert type(session.entries[0].value) is float
    assert session.setup("axis", {"tilt": np.array([1.0, 2.0]), "n": np.int64(3)}).result == {
        "tilt": [1.0, 2.0],
        "n": 3,
    }


@pytest.mark.parametrize(
    ("run", "step", "value"),
    [
        (3, 0, 1.0),
        (-1, 0, 1.0),
        (0, 13, 1.0),
        (0, -1, 1.0),
        (0.0, 0, 1.0),
        (True, 0, 1.0),
        (0, "0", 1.0),
        (0, 0, "1.0"),
        (0, 0, True),
        (0, 0, np.bool_(True)),
        (0, 0, None),
        (0, 0, float("nan")),
        (0, 0, float("inf")),
        (0, 0, 1e13),
        (0, 0, 10**400),
        (0, 0, 1 + 2j),
    ],
)
def test_what_is_no_reading_is_refused_before_anything_changes(
    tmp_path: Path, run: object, step: object, value: object
) -> None:
    session = begin(tmp_path / "s.toml")
    before = session.path.read_bytes()
    with pytest.raises(Refused):
        session.take(run, step, value)
    assert session.path.read_bytes() == before
    assert session.entries == ()
    assert session.matrix.filled == 0


@pytest.mark.parametrize(
    "text",
    [
        '"',
        '"""',
        "'''",
        "\\",
        "\\n",
        "[[entry]]",
        "a\n[[entry]]\nend = 2",
        "end = 1",
        "#",
        "Türe, 温度, ⌀ ± ″, 🙂",
        "\t",
        "a\u2028b\ufeff",
        "x" * 5000,
    ],
    ids=range(13),
)
def test_awkward_texts(tmp_path: Path, text: str) -> None:
    text = f"x{text}x"
    session = begin(tmp_path / "s.toml")
    session.take(0, 0, 1.0)
    session.strike(1, text)
    session.note(text)
    session.conditions(remark=text)
    session.setup("axis", {"found": text})
    session.close()
    entries = Session.read(session.path).entries
    assert (entries[1].reason, entries[2].text, entries[3].remark, entries[4].result["found"]) == (text,) * 4


def test_line_ends_of_other_systems_become_ours(tmp_path: Path) -> None:
    session = begin(tmp_path / "s.toml")
    assert session.note("a\r\nb\rc").text == "a\nb\nc"
    with pytest.raises(Refused, match=r"U\+001B"):
        session.note("a\x1b[2J")
    with pytest.raises(Refused, match=r"U\+D800"):
        session.note("\ud800")


def test_conditions_are_optional_one_by_one(tmp_path: Path) -> None:
    session = begin(tmp_path / "s.toml")
    assert session.conditions(20.1, None, 45).humidity == 45.0
    assert session.conditions(remark="sun").temperature is None
    with pytest.raises(Refused, match="nothing is noted"):
        session.conditions()
    with pytest.raises(Refused, match="not a number"):
        session.conditions("20")


def test_clock_set_back_is_recorded_and_said(tmp_path: Path) -> None:
    times = [START, START, START + timedelta(hours=1), START, START + timedelta(seconds=5)]
    session = Session.create(
        tmp_path / "s.toml", example_header(), clock=lambda: times.pop(0), disk=QuickDisk()
    )
    session.take(0, 0, 1.0)
    session.take(0, 1, 1.0)
    assert session.notices == ()
    assert session.take(0, 2, 1.0).time == START
    assert len(session.notices) == 1
    assert "clock went back" in session.notices[0]
    session.take(0, 3, 1.0)
    assert len(session.notices) == 1
    assert len(Session.read(session.path).entries) == 4


@pytest.mark.parametrize(
    ("given", "written"),
    [
        (
            datetime(2026, 3, 2, 9, 0, 0, 999999, timezone(timedelta(hours=-3, minutes=-30))),
            "2026-03-02T09:00:00-03:30",
        ),
        (datetime(2026, 3, 2, 9, 0, 0, 0, UTC), "2026-03-02T09:00:00+00:00"),
        (datetime(2026, 3, 2, 9, 0, 0, 0, timezone(timedelta(seconds=61))), "2026-03-02T08:58:59+00:00"),
    ],
)
def test_time_is_written_in_whole_seconds_with_its_offset(
    tmp_path: Path, given: datetime, written: str
) -> None:
    session = Session.create(tmp_path / "s.toml", example_header(), clock=lambda: given, disk=QuickDisk())
    session.note("a")
    assert f"\ntime = {written}\n" in session.path.read_text(encoding="utf-8")


def test_clock_without_an_offset_is_taken_as_local(tmp_path: Path) -> None:
    naive = datetime(2026, 3, 2, 9, 0)  # noqa: DTZ001
    session = Session.create(tmp_path / "s.toml", example_header(), clock=lambda: naive, disk=QuickDisk())
    assert session.note("a").time == naive.astimezone()


def test_create_overwrites_nothing_and_makes_folders(tmp_path: Path) -> None:
    path = tmp_path / "a" / "b" / "s.toml"
    session = begin(path)
    session.take(0, 0, 1.0)
    before = path.read_bytes()
    with pytest.raises(Refused, match="there already"):
        begin(path)
    session.close()
    with pytest.raises(Refused, match="there already"):
        begin(path)
    assert path.read_bytes() == before


def test_create_refuses_a_header_that_would_not_be_read(tmp_path: Path) -> None:
    for header in (
        Header(Design(12, (12,))),
        Header(Design(12, (0,)), title="a\nb"),
        Header(Design(12, (0,)), lower=Circle(tolerance=-1.0)),
    ):
        with pytest.raises(Refused):
            begin(tmp_path / "s.toml", header)
    assert list(tmp_path.iterdir()) == []


def test_closed_session_takes_nothing(tmp_path: Path) -> None:
    session = begin(tmp_path / "s.toml")
    session.close()
    session.close()
    with pytest.raises(Refused, match="closed"):
        session.take(0, 0, 1.0)


def test_reading_only_leaves_no_trace(tmp_path: Path) -> None:
    with begin(tmp_path / "s.toml") as session:
        session.take(0, 0, 1.0)
    data = session.path.read_bytes() + b"\n[[entry]]\nkind"
    session.path.write_bytes(data)
    names = sorted(tmp_path.iterdir())
    reading = Session.read(session.path)
    assert reading.read_only
    assert "cut entry after entry 1" in reading.notices[0]
    with pytest.raises(Refused, match="reading only"):
        reading.take(0, 0, 1.0)
    reading.close()
    assert session.path.read_bytes() == data
    assert sorted(tmp_path.iterdir()) == names
