"""Hostile files are refused in one line or open; what a name holds never steers a terminal."""

from __future__ import annotations

from pathlib import Path

import pytest

from sessions.analysis import analyse
from sessions.parse import parse
from sessions.session import Session
from sessions.toml_text import read_toml
from solver.refused import Refused
from tests.sessions.hostile import opened, refused
from tests.sessions.kit import Clock, QuickDisk, example_header

REFUSED, OPENED = refused(20_000), opened(20_000)


@pytest.mark.parametrize("what", REFUSED)
def test_refused_in_one_harmless_line(what: str) -> None:
    with pytest.raises(Refused) as caught:
        parse(REFUSED[what], "s.toml")
    said = str(caught.value)
    assert said.isprintable()
    assert len(said) < 300
    assert caught.value.where.startswith("s.toml")
    assert caught.value.remedy


@pytest.mark.parametrize("what", OPENED)
def test_odd_but_plain_files_open_and_are_solved(what: str) -> None:
    found = parse(OPENED[what], "s.toml")
    assert len(found.state.entries) == 2
    analyse(found.state.matrix.snapshot())


def test_key_of_a_thousand_parts_is_no_text_of_a_thousand_words() -> None:
    words = ".".join(["a"] * 2000)
    assert read_toml(f'v = "{words}"') == {"v": words}
    with pytest.raises(ValueError, match=r"too many parts \(at line 2"):
        read_toml(f"v = 1\n{words} = 1")


def test_line_of_a_number_of_thousands_of_digits() -> None:
    with pytest.raises(ValueError, match=r"thousands of digits \(at line 2"):
        read_toml(f"v = 1\nw = {'7' * 5000}\nx = 2\n")


@pytest.mark.parametrize(
    "words",
    ["{" + ".".join(["a"] * 1500), "a" * 100_000, "{a = " + "[" * 5000],
    ids=["points", "length", "brackets"],
)
def test_whatever_is_written_can_be_read_again(tmp_path: Path, words: str) -> None:
    with Session.create(tmp_path / "s.toml", example_header(), clock=Clock(), disk=QuickDisk()) as session:
        try:
            session.note(words)
        except Refused as refusal:
            assert "too many parts for a session file" in refusal.what
        session.take(0, 0, 1.0)
    assert Session.read(session.path).entries == session.entries


def test_tables_too_deep_to_be_read_again_are_not_written(tmp_path: Path) -> None:
    deep: dict[str, object] = {}
    for _ in range(60):
        deep = {"a": deep}
    with Session.create(tmp_path / "s.toml", example_header(), clock=Clock(), disk=QuickDisk()) as session:
        with pytest.raises(Refused, match="nested too deeply"):
            session.setup("axis", deep)
        assert session.entries == ()
