"""The folder of the sessions: everything in it is listed, whatever it is."""

import os
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from sessions.certificate import details
from sessions.certificate.earlier import earlier_details
from sessions.default_folder import default_folder
from sessions.demo import copy_demo
from sessions.design import Design
from sessions.equipment import Circle
from sessions.folder import list_sessions
from sessions.form_earlier import earlier_form
from sessions.header import Header
from sessions.newest import newest_first
from sessions.practice.begin import begin as begin_practice
from sessions.practice.parameters import Parameters
from sessions.session import Session
from solver.refused import Refused
from tests.sessions.certified import DETAILS, header
from tests.sessions.kit import START, Clock, QuickDisk, every_kind


def test_newest_first_with_what_there_is_to_say(tmp_path: Path) -> None:
    with every_kind(tmp_path / "first.toml") as first:
        pass
    header = Header(Design(4, (0,), closure="single", reading="interval"), Circle(serial="7"), None)
    later = Clock(START + timedelta(days=1))
    with Session.create(tmp_path / "second.toml", header, clock=later, disk=QuickDisk()) as second:
        second.take(0, 1, 1.0)
    newest, oldest = list_sessions(tmp_path)
    assert (newest.path, newest.filled, newest.planned, newest.problem) == (second.path, 1, 4, "")
    assert newest.circles == "index table 7"
    assert newest.touched == second.entries[-1].time
    assert (oldest.path, oldest.title, oldest.planned) == (first.path, first.header.title, 52)
    assert oldest.circles == 'HT-04 "old" against Prüfling'
    assert oldest.filled == first.matrix.filled == 4


def test_bad_files_are_listed_with_the_reason(tmp_path: Path) -> None:
    with every_kind(tmp_path / "good.toml") as session:
        pass
    data = session.path.read_bytes()
    (tmp_path / "picture.toml").write_bytes(bytes(range(256)))
    (tmp_path / "other.TOML").write_text("[project]\nname = 'x'\n", encoding="utf-8")
    (tmp_path / "empty.toml").write_bytes(b"")
    (tmp_path / "damaged.toml").write_bytes(data.replace(b"value = 0.12", b"value = 0.21"))
    (tmp_path / "newer.toml").write_bytes(data.replace(b"version = 1", b"version = 2"))
    (tmp_path / "folder.toml").mkdir()
    (tmp_path / "deep.toml").write_bytes(b"a = " + b"[" * 50_000)
    (tmp_path / "notes.txt").write_text("no session", encoding="utf-8")
    (tmp_path / ".hidden.toml").write_text("hidden", encoding="utf-8")
    (tmp_path / "good.cut-20260302T085220-2.toml").write_bytes(b"\n[[entry]]\n")
    found = {listing.path.name: listing.problem for listing in list_sessions(tmp_path)}
    assert found.pop("good.toml") == ""
    assert set(found) == {
        "picture.toml",
        "other.TOML",
        "empty.toml",
        "damaged.toml",
        "newer.toml",
        "folder.toml",
        "deep.toml",
    }
    assert all(found.values())
    assert "version 2" in found["newer.toml"]
    assert "changed" in found["damaged.toml"]
    assert "not a Fullturn session" in found["other.TOML"]


@pytest.mark.skipif(os.name == "nt", reason="links need rights there")
def test_broken_link_is_listed(tmp_path: Path) -> None:
    (tmp_path / "s.toml").symlink_to(tmp_path / "nowhere.toml")
    (listing,) = list_sessions(tmp_path)
    assert "no such file" in listing.problem


def test_cut_file_is_listed_and_left_alone(tmp_path: Path) -> None:
    with every_kind(tmp_path / "s.toml") as session:
        pass
    data = session.path.read_bytes()[:-9]
    session.path.write_bytes(data)
    (listing,) = list_sessions(tmp_path)
    assert listing.problem == ""
    assert session.path.read_bytes() == data


def test_no_folder_is_an_empty_one(tmp_path: Path) -> None:
    assert list_sessions(tmp_path / "none") == ()
    (tmp_path / "file").write_text("", encoding="utf-8")
    with pytest.raises(Refused):
        list_sessions(tmp_path / "file")


def test_variable_names_the_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("FULLTURN_FOLDER", str(tmp_path))
    assert default_folder() == tmp_path
    monkeypatch.setenv("FULLTURN_FOLDER", "~/sessions")
    assert default_folder() == Path.home() / "sessions"
    monkeypatch.setenv("FULLTURN_FOLDER", "")
    assert default_folder().name == "Fullturn"


def test_the_newest_session_is_that_of_the_list_and_a_real_one(tmp_path: Path) -> None:
    """By the last entry, as the start screen lists them: copying a file or touching it makes nothing newer."""
    older, newer = (
        replace(header(8), created=START + timedelta(days=day), operator=name)
        for day, name in ((0, "older"), (9, "newer"))
    )
    Session.create(tmp_path / "newer.toml", newer).close()
    Session.create(tmp_path / "older.toml", older).close()
    os.utime(tmp_path / "newer.toml", (0, 0))
    demo = copy_demo(tmp_path)
    with Session.open(demo) as session:
        session.amend("operator", "B. N. Other", "my name")
    begin_practice(tmp_path / "practice.toml", Design(6, (0, 1)), Parameters(1)).close()
    listed = [each.path.name for each in list_sessions(tmp_path)]
    assert set(listed[:2]) == {"practice.toml", "demo.toml"}
    assert listed[2:] == ["newer.toml", "older.toml"]
    assert [session.path.name for session in newest_first(tmp_path)] == ["newer.toml", "older.toml"]
    found = earlier_form(tmp_path)
    assert found is not None
    assert found[0].operator == "newer"
    with Session.open(demo) as session:
        details.record(session, DETAILS)
    assert earlier_details(tmp_path / "older.toml") is None
