"""A session set aside: moved whole, never over another one, never from under somebody."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from sessions.aside import ASIDE, readings_words, set_aside
from sessions.folder import list_sessions
from sessions.session import Session
from solver.refused import Refused
from tests.sessions.kit import START, example_header


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """Return a session with two readings, one of them struck."""
    path = tmp_path / "mistake.toml"
    with Session.create(path, example_header()) as session:
        session.take(0, 0, 1.5)
        session.take(0, 0, 1.6)
        session.strike(1, "typing slip")
    return path


def test_it_is_moved_whole_and_no_longer_listed(path: Path) -> None:
    before = path.read_bytes()
    assert readings_words(path) == "2 readings"
    target = set_aside(path, START)
    assert target == path.parent / ASIDE / "mistake.toml"
    assert target.read_bytes() == before
    assert not path.exists()
    assert list_sessions(path.parent) == ()
    with Session.open(target) as session:
        assert not session.read_only
        assert session.recorded == 3


def test_another_of_that_name_stays_as_it_is(path: Path) -> None:
    there = path.parent / ASIDE / path.name
    there.parent.mkdir()
    there.write_text("x = 1\n", encoding="utf-8")
    assert set_aside(path, START).name == "mistake-2.toml"
    assert there.read_text(encoding="utf-8") == "x = 1\n"


def test_one_that_is_open_elsewhere_is_refused(path: Path) -> None:
    with Session.open(path) as session:
        with pytest.raises(Refused, match="cannot be set aside") as refused:
            set_aside(path, START)
        assert "has it open" in str(refused.value)
        session.take(0, 1, 1.5)
    assert path.exists()
    assert not (path.parent / ASIDE).exists()


def test_one_that_cannot_be_moved_stays_where_it_is(path: Path) -> None:
    (path.parent / ASIDE).write_text("a file", encoding="utf-8")
    with pytest.raises(Refused):
        set_aside(path, START)
    with Session.open(path) as session:
        assert not session.read_only


def test_one_that_has_gone_is_refused(path: Path) -> None:
    path.unlink()
    with pytest.raises(Refused, match="no such file"):
        set_aside(path, START)


@pytest.mark.skipif(sys.platform == "win32", reason="links need a privilege there")
def test_a_link_is_refused_as_it_would_lead_nowhere(path: Path) -> None:
    link = path.with_name("link.toml")
    link.symlink_to(path.name)
    with pytest.raises(Refused, match="a link"):
        set_aside(link, START)
    assert link.exists()
