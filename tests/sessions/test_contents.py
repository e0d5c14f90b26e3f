"""The quick way through a file gives what a TOML reader gives, or steps aside."""

import tomllib
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sessions.contents import _quick, _thorough, contents
from sessions.entries import Reading
from sessions.entry_tables import read_entry
from solver.refused import Refused
from tests.sessions.kit import DESIGN_EXAMPLE, every_kind, without_checks


def read(found) -> list:
    return [
        item if isinstance(item, Reading) else read_entry(item, number)
        for number, item in enumerate(found.entries, 1)
    ]


def test_both_ways_agree_on_every_kind_of_entry(tmp_path: Path) -> None:
    with every_kind(tmp_path / "a.toml") as session:
        entries = list(session.entries)
    for data in (
        session.path.read_bytes(),
        without_checks(session.path.read_bytes()),
        DESIGN_EXAMPLE.encode(),
    ):
        quick, thorough = _quick(data), _thorough(data, "a")
        assert quick is not None
        assert read(quick) == read(thorough)
        assert quick.header == thorough.header
        assert quick.checks == thorough.checks
        assert read(quick) == entries or data == DESIGN_EXAMPLE.encode()


BLOCK = DESIGN_EXAMPLE[
    DESIGN_EXAMPLE.index("\n[[entry]]") : DESIGN_EXAMPLE.index('\n[[entry]]\nkind = "strike"')
]
PIECES = st.sampled_from(
    [
        BLOCK,
        "\n",
        "#",
        " ",
        "0",
        "1",
        "-",
        "+",
        ".",
        "e",
        "_",
        "Z",
        "z",
        "T",
        ":",
        "end = 1",
        '"',
        "'''",
        "end = 2\n",
    ]
)


@settings(max_examples=600, deadline=None)
@given(st.data())
def test_quick_never_differs_from_a_toml_reader(data: st.DataObject) -> None:
    text = "a = 1\n" + BLOCK + BLOCK.replace("end = 1", "end = 2")
    for _ in range(data.draw(st.integers(1, 3))):
        at = data.draw(st.integers(0, len(text)))
        stop = data.draw(st.integers(at, min(at + 3, len(text))))
        text = text[:at] + data.draw(PIECES | st.just("")) + text[stop:]
    quick = _quick(text.encode())
    if quick is None:
        return
    table = tomllib.loads(text)
    assert quick.header == {key: value for key, value in table.items() if key != "entry"}
    tables = table.get("entry", [])
    assert len(quick.entries) == len(tables)
    for item, plain in zip(quick.entries, tables, strict=True):
        if isinstance(item, Reading):
            assert {"kind": "reading", "time": item.time, "run": item.run, "step": item.step} == {
                key: plain[key] for key in ("kind", "time", "run", "step")
            }
            assert (item.value, item.number) == (plain["value"], plain["end"])
        else:
            assert item == plain


@pytest.mark.parametrize(
    ("text", "line", "word"),
    [
        ("a = 1\nb = \n", 2, "TOML"),
        ("a = 1\na = 2\n", 2, "TOML"),
        ('a = 1\nb = "x', 2, "TOML"),
        ("a = 1\n\nb = " + "[" * 100_000, None, "deep"),
        ("a = 1\nb = " + "9" * 5000, None, "TOML"),
        ("a = 1\n[entry]\n", None, "entry"),
        ("entry = [1]\n", None, "entry"),
        ("[[entry]]\nend = 1\n[design]\n", None, "design"),
    ],
)
def test_what_is_no_session_is_refused_with_its_line(text: str, line: int | None, word: str) -> None:
    with pytest.raises(Refused) as caught:
        contents(text.encode(), "a.toml")
    assert caught.value.where.startswith("a.toml")
    assert word in str(caught.value)
    assert line is None or f"line {line}" in caught.value.where


def test_bytes_that_are_no_text_are_refused_with_their_line() -> None:
    with pytest.raises(Refused) as caught:
        contents(b"a = 1\nb = '\xff'\n", "a.toml")
    assert caught.value.where == "a.toml, line 2"
