"""Damage is refused with the line, the reason and the remedy, and the file is left untouched."""

import random
import re
from pathlib import Path

import pytest

from sessions.parse import parse
from sessions.session import Session
from solver.refused import Refused
from tests.sessions.flipping import flip_every_byte
from tests.sessions.kit import DESIGN_EXAMPLE, Clock, QuickDisk, every_kind, without_checks


@pytest.fixture
def data(tmp_path: Path) -> bytes:
    with every_kind(tmp_path / "whole.toml") as session:
        pass
    return session.path.read_bytes()


@pytest.mark.parametrize("mask", [0x01, 0x10, 0x80])
def test_no_flipped_byte_passes_silently(data: bytes, mask: int) -> None:
    """Of the whole file: whatever opens holds the same header and the same entries, or the last one cut."""
    found = flip_every_byte(data, [mask])
    assert found.refused > len(data) - 40


def test_digits_swapped_for_digits_are_found(tmp_path: Path, data: bytes) -> None:
    path = tmp_path / "s.toml"
    for match in re.finditer(rb"\d", data[: data.rindex(b"check = ")]):
        changed = bytearray(data)
        changed[match.start()] = ord("7") if match[0] != b"7" else ord("8")
        path.write_bytes(changed)
        with pytest.raises(Refused):
            Session.read(path)


def test_the_stretch_between_two_checks_is_named(tmp_path: Path, data: bytes) -> None:
    path = tmp_path / "s.toml"
    lines = data.split(b"\n")
    checks = [number for number, line in enumerate(lines, 1) if line.startswith(b"check = ")]
    path.write_bytes(data.replace(b"value = -0.05", b"value = -0.06"))
    with pytest.raises(Refused) as caught:
        Session.read(path)
    assert f"lines {checks[0] + 1} to {checks[1]}" in caught.value.what
    assert "restore the file from a copy" in caught.value.remedy


def test_taking_out_the_checks_accepts_a_change_that_was_meant(tmp_path: Path, data: bytes) -> None:
    path = tmp_path / "s.toml"
    changed = data.replace(b"value = -0.05", b"value = -0.06")
    start = changed.index(b"value = -0.06")
    path.write_bytes(changed[:start] + without_checks(changed[start:]))
    with Session.open(path, clock=Clock(), disk=QuickDisk()) as session:
        assert session.entries[1].value == -0.06
        session.take(0, 5, 1.0)
    assert path.read_bytes().count(b"check = ") == 2
    assert len(Session.read(path).entries) == 15


def test_check_that_is_no_longer_written_as_it_was_is_damage(tmp_path: Path, data: bytes) -> None:
    path = tmp_path / "s.toml"
    for changed in (data.replace(b"check = ", b"check  = "), data.replace(b'check = "', b"check = '", 1)):
        path.write_bytes(changed)
        with pytest.raises(Refused):
            Session.read(path)


EXAMPLE = DESIGN_EXAMPLE
STRIKE = EXAMPLE[EXAMPLE.index('\n[[entry]]\nkind = "strike"') :]
READING = EXAMPLE[EXAMPLE.index("\n[[entry]]") : EXAMPLE.index(STRIKE)]


DAMAGES = {
    "end too large": (EXAMPLE.replace("end = 2", "end = 3"), 49, "end = 3 and is entry 2"),
    "two ends alike": (EXAMPLE.replace("end = 1", "end = 2"), 42, "end = 2 and is entry 1"),
    "no end": (EXAMPLE.replace("\nend = 1\n", "\n"), 36, '"end" is missing'),
    "end not last": (
        EXAMPLE.replace("value = 0.12\nend = 1", "end = 1\nvalue = 0.12"),
        41,
        "not the last line",
    ),
    "entry taken out": (EXAMPLE.replace(READING, ""), 41, "end = 2 and is entry 1"),
    "run outside": (EXAMPLE.replace("run = 0", "run = 3"), 39, "no run 3"),
    "step outside": (EXAMPLE.replace("step = 0", "step = 13"), 40, "no step 13"),
    "strike of itself": (EXAMPLE.replace("entry = 1", "entry = 2"), 44, "entry 2"),
    "strike of a later one": (EXAMPLE.replace("entry = 1", "entry = 9"), 44, "entry 9"),
    "struck twice": (EXAMPLE + STRIKE.replace("end = 2", "end = 3"), 51, "struck already"),
    "block twice": (EXAMPLE + READING, 57, "end = 1 and is entry 3"),
    "unknown kind": (EXAMPLE.replace('kind = "strike"', 'kind = "strik"'), 45, '"strik"'),
    "unknown key": (EXAMPLE.replace('reason = "door', 'raeson = "door'), 48, '"raeson"'),
    "time without offset": (EXAMPLE.replace(":40+00:00", ":40"), 46, "UTC"),
    "polarity": (EXAMPLE.replace("polarity = 1 ", "polarity = 2 "), 32, "1"),
    "unknown header key": (EXAMPLE.replace("positions =", "positons ="), 11, "unknown"),
    "missing header key": (EXAMPLE.replace("offsets = [0, 1, 4]", ""), 7, "missing"),
    "newer version": (EXAMPLE.replace("version = 1", "version = 2"), 2, "version 2"),
    "unclosed text": (EXAMPLE.replace('title = "HT', 'title = HT"'), 3, "TOML"),
    "header after entries": (EXAMPLE + "\n[upper]\n", 51, "neither"),
    "garbage": (EXAMPLE + "garbage", 50, "neither"),
    "end no number": (EXAMPLE + STRIKE.replace("end = 2", "end = x"), 51, "neither"),
    "end no number, no line end": (EXAMPLE + STRIKE.replace("end = 2\n", "end = x"), 51, "neither"),
    "key misspelt at the end": (EXAMPLE + STRIKE.replace("end = 2\n", "enD = 2\n"), 51, "neither"),
    "key without value": (EXAMPLE + "\n[[entry]]\nkind = \n", 51, "neither"),
    "two cut entries": (EXAMPLE + "\n[[entry]]\n[[entry]]\n", 51, "neither"),
    "wrong end at the end": (EXAMPLE + "\n[[entry]]\nend = 4", 51, '"kind" is missing'),
    "many zeros": (EXAMPLE + "\0" * 5000, 50, "neither"),
    "no key at the end": (EXAMPLE + "\n[[entry]]\nwhat", 51, "neither"),
    "no header": ("[[entry]]\nend = 1\n", None, "not a Fullturn session"),
    "nothing": ("", None, "not a Fullturn session"),
    "a remark": ("# only a remark", None, "not a Fullturn session"),
}


@pytest.mark.parametrize("damage", DAMAGES)
def test_other_damage_is_refused_with_its_line(tmp_path: Path, damage: str) -> None:
    changed, line, reason = DAMAGES[damage]
    path = tmp_path / "s.toml"
    path.write_text(changed, encoding="utf-8", newline="")
    for opening in (Session.read, Session.open):
        with pytest.raises(Refused) as caught:
            opening(path)
        said = str(caught.value)
        assert str(path) in caught.value.where
        assert line is None or f"{path}, line {line}," in f"{caught.value.where},", said
        assert reason in caught.value.what, said
        assert caught.value.remedy
        assert "\n" not in said
    assert path.read_bytes() == changed.encode()
    assert sorted(path.name for path in tmp_path.iterdir() if not path.name.startswith(".")) == ["s.toml"]


SCRAPS = [
    b"[[entry]]",
    b"\n",
    b"end = 3\n",
    b'"',
    b'"' * 3,
    b"'" * 3,
    b"{",
    b"[",
    b"]",
    b"=",
    b"\r",
    b"\0",
    b"\xff",
]
SCRAPS += [
    b"entry = [1]\n",
    b"entry.x = 1\n",
    b'check = "00000000"\n',
    b"0x" + b"f" * 5000,
    b"a.b = 1\n",
    b"nan",
]


@pytest.mark.parametrize("seed", range(4))
def test_whatever_is_done_to_a_file_it_opens_or_is_refused_on_one_line(data: bytes, seed: int) -> None:
    chance = random.Random(seed)
    base = [data, without_checks(data), EXAMPLE.encode(), EXAMPLE.replace(" = ", "=").encode()][seed]
    refused = 0
    for _ in range(400):
        changed = bytearray(base)
        for _ in range(chance.randint(1, 4)):
            at = chance.randrange(len(changed) + 1)
            copied = chance.randrange(len(changed) + 1)
            scrap = chance.choice([chance.choice(SCRAPS), b"", bytes(changed[copied : copied + 60])])
            changed[at : at + chance.choice([0, 1, 5, 50])] = scrap
        try:
            parse(bytes(changed), "s.toml")
        except Refused as error:
            refused += 1
            assert "\n" not in str(error)
            assert error.where.startswith("s.toml")
            assert error.remedy
    assert refused > 200


def test_crlf_conversion_does_no_harm(tmp_path: Path, data: bytes) -> None:
    path = tmp_path / "s.toml"
    path.write_bytes(data.replace(b"\n", b"\r\n"))
    with Session.open(path, clock=Clock(), disk=QuickDisk()) as session:
        assert len(session.entries) == 14
        session.take(0, 5, 1.0)
    path.write_bytes(path.read_bytes().replace(b"\r\n", b"\n").replace(b"\n", b"\r\n"))
    assert len(Session.read(path).entries) == 15


def test_foreign_and_odd_files_are_refused_in_words(tmp_path: Path) -> None:
    with pytest.raises(Refused, match="no such file"):
        Session.open(tmp_path / "none.toml")
    with pytest.raises(Refused, match="not a file"):
        Session.open(tmp_path)
    with pytest.raises(Refused):
        Session.open("a\0b.toml")
    picture = tmp_path / "picture.toml"
    picture.write_bytes(bytes(range(256)) * 40)
    with pytest.raises(Refused, match=r"UTF-8|TOML"):
        Session.open(picture)
    assert [path.name for path in tmp_path.iterdir()] == ["picture.toml"]
