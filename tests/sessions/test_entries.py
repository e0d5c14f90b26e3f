"""Entries to and from the file: every kind, any text, every digit."""

import tomllib
from datetime import UTC, datetime, timedelta, timezone

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sessions.blocks import end_text, entry_text, toml_value
from sessions.entries import Amend, Conditions, Entry, Keep, Note, Reading, Restore, Setup, Split, Strike
from sessions.entry_tables import KEYS, KINDS, entry_table, read_entry
from solver.refused import Refused
from tests.sessions.kit import START

TIMES = st.datetimes(
    datetime(1990, 1, 1),  # noqa: DTZ001
    datetime(2100, 1, 1),  # noqa: DTZ001
    timezones=st.integers(-14 * 60, 14 * 60).map(lambda minutes: timezone(timedelta(minutes=minutes))),
)
WORDS = st.text(st.characters(exclude_categories=("Cc", "Cs")) | st.sampled_from('\n\t"\\#[]='), min_size=1)
REASONS = WORDS.filter(str.strip)
LINE = st.text(st.characters(exclude_categories=("Cc", "Cs")), min_size=1).filter(str.strip)
PLACE = st.integers(0, 2000)
NUMBER = st.integers(1, 10**6)
VALUE = st.floats(-1e12, 1e12)
FREE = st.recursive(
    st.booleans() | st.integers(-(10**12), 10**12) | VALUE | WORDS | TIMES,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(LINE, inner, max_size=4),
    max_leaves=8,
)
ENTRIES = (
    st.builds(Reading, NUMBER, TIMES, PLACE, PLACE, VALUE)
    | st.builds(Strike, NUMBER, TIMES, NUMBER, REASONS)
    | st.builds(Restore, NUMBER, TIMES, NUMBER, st.just("") | WORDS)
    | st.builds(Conditions, NUMBER, TIMES, VALUE, st.none() | VALUE, st.none() | VALUE, st.just("") | WORDS)
    | st.builds(Note, NUMBER, TIMES, REASONS)
    | st.builds(Amend, NUMBER, TIMES, LINE, FREE, REASONS)
    | st.builds(Setup, NUMBER, TIMES, LINE, st.dictionaries(LINE, FREE, max_size=4))
    | st.builds(Keep, NUMBER, TIMES, NUMBER, REASONS)
    | st.builds(Split, NUMBER, TIMES, PLACE, PLACE, REASONS)
)


def through_text(entry: Entry) -> Entry:
    text = entry_text(entry_table(entry)) + end_text(entry.number)
    (table,) = tomllib.loads(text)["entry"]
    return read_entry(table, entry.number)


@settings(max_examples=400, deadline=None)
@given(ENTRIES)
def test_entry_comes_back_from_its_text_as_it_was(entry: Entry) -> None:
    assert through_text(entry) == entry


@settings(max_examples=200, deadline=None)
@given(FREE)
def test_value_stands_on_one_line_and_comes_back(value: object) -> None:
    text = toml_value(value)
    assert "\n" not in text
    assert tomllib.loads(f"value = {text}")["value"] == value


def test_what_toml_cannot_hold_is_no_value() -> None:
    with pytest.raises(TypeError):
        toml_value(None)


def test_every_kind_has_its_keys_and_its_reader() -> None:
    assert set(KINDS.values()) == set(KEYS)


def table(kind: str = "reading", **changes: object) -> dict:
    full = {"kind": kind, "time": START}
    full |= {"run": 0, "step": 0, "value": 1.5} if kind == "reading" else {"entry": 1, "reason": "door"}
    full |= changes
    return {key: value for key, value in full.items() if value is not None} | {"end": changes.get("end", 7)}


@pytest.mark.parametrize(
    ("changed", "where"),
    [
        (table(time=None), "time"),
        (table(time="08:52"), "time"),
        (table(time=datetime(2026, 3, 2)), "time"),  # noqa: DTZ001
        (table(run=-1), "run"),
        (table(run=True), "run"),
        (table(run=0.0), "run"),
        (table(step=None), "step"),
        (table(value="1.5"), "value"),
        (table(value=True), "value"),
        (table(value=float("nan")), "value"),
        (table(value=float("-inf")), "value"),
        (table(value=1e13), "value"),
        (table(value=None), "value"),
        (table(end=8), "end"),
        (table(end=7.0), "end"),
        (table(end=True), "end"),
        (table(check="12345678x"), "check"),
        (table(check=12345678), "check"),
        (table("strike", reason=""), "reason"),
        (table("strike", reason=" \n"), "reason"),
        (table("strike", reason=None), "reason"),
        (table("strike", reason="\x1b[2J"), "reason"),
        (table("strike", entry=0), "entry"),
        (table("keep", reason=""), "reason"),
        ({"kind": "note", "time": START, "text": "", "end": 7}, "text"),
        ({"kind": "conditions", "time": START, "end": 7}, "conditions"),
        ({"kind": "setup", "time": START, "worksheet": "axis", "result": [1], "end": 7}, "result"),
        ({"time": START, "end": 7}, "kind"),
        ({"kind": 4, "time": START, "end": 7}, "kind"),
        ({"kind": "note", "time": START, "text": "a"}, "end"),
        ({"kind": "note", "time": START, "end": 7, "text": "a"}, "end"),
    ],
)
def test_wrong_entry_is_refused_where_it_is_wrong(changed: dict, where: str) -> None:
    with pytest.raises(Refused) as caught:
        read_entry(changed, 7)
    assert caught.value.where == where


@pytest.mark.parametrize(
    ("changed", "unknown", "nearest"),
    [
        (table("readin"), "readin", "reading"),
        (table("sturck"), "sturck", "strike"),
        (table(valeu=1.0), "valeu", "value"),
        (table("strike", resaon="x"), "resaon", "reason"),
        (table("strike", value=1.0), "value", "kind"),
    ],
)
def test_unknown_kind_and_key_are_refused_by_name(changed: dict, unknown: str, nearest: str) -> None:
    with pytest.raises(Refused) as caught:
        read_entry(changed, 7)
    assert f'"{unknown}"' in caught.value.what
    assert nearest in caught.value.remedy or unknown == "value"


def test_time_keeps_its_offset_from_utc() -> None:
    local = datetime(2026, 3, 2, 9, 52, 10, tzinfo=timezone(timedelta(hours=1)))
    entry = through_text(Note(1, local, "a"))
    assert entry.time.isoformat() == "2026-03-02T09:52:10+01:00"
    assert entry.time == START.astimezone(UTC)
