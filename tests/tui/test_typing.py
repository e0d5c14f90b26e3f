"""What belongs to the line that is typed, and the unit that a gauge sends behind a number."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual import events

from sessions.demo import copy_demo
from sessions.equipment import Unit
from tests.tui.test_reading import LATIN, at_bench, begin, said, send, settled
from tui.typing import Key, TypedLine, doubt, without_unit


@pytest.mark.parametrize(
    ("text", "unit", "number"),
    [
        ("1.23 sec", "arcsec", "1.23"),
        ("1.23 arcsec", "arcsec", "1.23"),
        ("1.23 arc sec ", "arcsec", "1.23"),
        ('1,23"', "arcsec", "1,23"),
        ("-0.5″", "arcsec", "-0.5"),
        ("+4.1 µrad", "urad", "+4.1"),
        ("4.1 URAD", "urad", "4.1"),
    ],
)
def test_the_unit_of_the_session_may_stand_behind_a_number(text: str, unit: Unit, number: str) -> None:
    assert without_unit(text, unit) == number
    assert not any(doubt(text[:length], unit) for length in range(1, len(text) + 1))


@pytest.mark.parametrize("text", ["1.23 mm", "1.23 µrad", "1.23 min", "1.23w", "1.2e3", "-e", "1.23 sec 4"])
def test_anything_else_stays_and_is_no_reading(text: str) -> None:
    assert without_unit(text, "arcsec") == text
    assert doubt(text, "arcsec")


@pytest.mark.parametrize("letter", "wehuclxsrntagvjkmbS")
async def test_a_letter_behind_a_number_is_kept_and_opens_nothing(tmp_path: Path, letter: str) -> None:
    async with at_bench(copy_demo(tmp_path)) as pilot:
        screen = await settled(pilot)
        before = screen.session.recorded
        send(pilot, f"3.52{letter}{letter}")
        await settled(pilot)
        assert pilot.app.screen is screen
        assert screen.line.text == f"3.52{letter}{letter}"
        assert "is no number" in said(pilot)
        send(pilot, "\n")
        await settled(pilot)
        assert "is not a number" in said(pilot)
        assert screen.session.recorded == before
        await pilot.press("backspace", "backspace")
        assert said(pilot) == ""
        await pilot.press("enter")
        await settled(pilot)
        assert screen.session.recorded == before + 1


async def test_gauges_that_send_the_unit_are_understood(tmp_path: Path) -> None:
    async with at_bench(begin(tmp_path / "gauge.toml", LATIN)) as pilot:
        send(pilot, '1.23 sec\n1.24 arcsec\n1,25"\n-1.26\n')
        screen = await settled(pilot)
        assert pilot.app.screen is screen
        assert [screen.session.matrix.readings(0, step)[0].value for step in range(4)] == [
            1.23,
            1.24,
            1.25,
            -1.26,
        ]


async def test_a_burst_in_another_unit_takes_nothing_and_opens_nothing(tmp_path: Path) -> None:
    async with at_bench(begin(tmp_path / "gauge.toml", LATIN)) as pilot:
        send(pilot, "1.23 mm\n1.24 mm\n1.25 mm\n1.26 mm\n1.27 mm\n")
        screen = await settled(pilot)
        assert pilot.app.screen is screen
        assert screen.session.recorded == 0
        assert screen.line.text == "1.27 mm"
        assert "is not a number" in said(pilot)


async def test_too_many_digits_are_never_cut_to_another_number(tmp_path: Path) -> None:
    async with at_bench(begin(tmp_path / "long.toml", LATIN)) as pilot:
        send(pilot, "1." + "0" * 30 + "\n")
        screen = await settled(pilot)
        assert screen.session.recorded == 0
        assert "longer than any reading" in said(pilot)


async def test_a_pasted_column_may_carry_the_unit(tmp_path: Path) -> None:
    async with at_bench(begin(tmp_path / "paste.toml", LATIN)) as pilot:
        pilot.app.post_message(events.Paste('24"\n17.5 sec\n'))
        screen = await settled(pilot)
        assert [screen.session.matrix.readings(0, step)[0].value for step in range(2)] == [24.0, 17.5]


async def test_take_back_empties_a_half_typed_line_first(tmp_path: Path) -> None:
    async with at_bench(begin(tmp_path / "undo.toml", LATIN)) as pilot:
        send(pilot, "24\n17")
        screen = await settled(pilot)
        await pilot.press("asterisk")
        await settled(pilot)
        assert screen.line.text == ""
        assert screen.session.matrix.struck == 0
        await pilot.press("asterisk")
        await settled(pilot)
        assert screen.session.matrix.struck == 1


@pytest.mark.parametrize("line_end", [["ctrl+j"], ["enter", "ctrl+j"]])
async def test_gauges_that_end_a_line_by_a_line_feed_are_understood(
    tmp_path: Path, line_end: list[str]
) -> None:
    async with at_bench(begin(tmp_path / "feed.toml", LATIN)) as pilot:
        for number in ("1.23", "1.24", "5", "6"):
            send(pilot, number)
            for key in line_end:
                pilot.app.post_message(events.Key(key, None))
        screen = await settled(pilot)
        assert [screen.session.matrix.readings(0, step)[0].value for step in range(4)] == [1.23, 1.24, 5, 6]
        assert screen.session.recorded == 4


def test_the_next_reading_does_not_run_into_one_that_was_refused() -> None:
    line = TypedLine("1.5.2", refused=True)
    for character in "3.52":
        assert line.take(character, character) is Key.CHANGED
    assert line.text == "3.52"
    # A letter never leaves the line, and Backspace mends what was refused.
    line = TypedLine("1.5.2", refused=True)
    assert line.take("c", "c") is Key.CHANGED
    assert line.text == "1.5.2c"
    line = TypedLine("1.5.2", refused=True)
    assert line.take("backspace", None) is Key.CHANGED
    assert line.take("7", "7") is Key.CHANGED
    assert line.text == "1.5.7"
