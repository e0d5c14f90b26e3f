"""The lines of a worksheet and the picture of its readings."""

from __future__ import annotations

import numpy as np
import pytest

from sessions.worksheets.sheet import Trace
from tests.tui.widget_demo import Stage, screen_text
from tui.widgets.marks import ASCII, UNICODE, Characters
from tui.widgets.slots import SlotLine, SlotList
from tui.widgets.trace import bars, picture


def lines(count: int, typed: int) -> tuple[SlotLine, ...]:
    return tuple(
        SlotLine(f"Reading {i}", f"{i}.5" if i < typed else "", "″", i < typed, reading=True)
        for i in range(count)
    )


async def shown(widget: SlotList, here: int, *, size: tuple[int, int] = (40, 8)) -> list[str]:
    async with Stage(widget).run_test(size=size) as pilot:
        widget.show(lines(30, here), here)
        await pilot.pause()
        return [line.rstrip() for line in screen_text(widget)]


@pytest.mark.parametrize("here", [0, 1, 7, 15, 28, 29, 30])
async def test_the_present_line_is_in_sight_with_its_neighbours(here: int) -> None:
    text = "\n".join(await shown(SlotList(), here))
    for index in (here - 1, here, here + 1):
        if 0 <= index < 30:
            assert f"Reading {index} " in text


async def test_the_present_line_has_a_sign_and_a_slot() -> None:
    [line] = [line for line in await shown(SlotList(), 7) if line.startswith("▸")]
    assert "Reading 7" in line
    assert "___" in line
    [line] = [line for line in await shown(SlotList(ascii_only=True), 7) if line.startswith(">")]
    assert "Reading 7" in line


async def test_decimal_points_stand_below_each_other() -> None:
    widget = SlotList()
    async with Stage(widget).run_test(size=(40, 8)) as pilot:
        texts = ("5", "−12.25", "0.1", "100.125")
        widget.show(tuple(SlotLine("Reading", text, "″", True, reading=True) for text in texts), 9)
        await pilot.pause()
        ends = {
            line.index(text) + len(text.partition(".")[0])
            for line, text in zip(screen_text(widget), texts, strict=False)
        }
        assert len(ends) == 1


async def test_proposals_stand_in_brackets_and_numbers_are_never_cut() -> None:
    widget = SlotList()
    async with Stage(widget).run_test(size=(24, 4)) as pilot:
        widget.show(
            (
                SlotLine("A label that is far too long", "8", "mm", False),
                SlotLine("Long", "123456789.12345678", "mm", True),
            ),
            9,
        )
        await pilot.pause()
        first, second, *_ = screen_text(widget)
        assert "(8)" in first
        assert "…" in first
        assert "1234" not in second


TRACE = Trace(
    np.arange(12.0),
    -np.arange(12.0) * 0.1,
    np.linspace(0, 11, 50),
    -np.linspace(0, 11, 50) * 0.1,
    "″",
    "min",
)


@pytest.mark.parametrize("size", [(16, 4), (30, 6), (80, 12), (140, 30)])
@pytest.mark.parametrize("signs", [UNICODE, ASCII])
def test_picture_keeps_its_size(size: tuple[int, int], signs: Characters) -> None:
    drawn = picture(TRACE, *size, signs)
    assert len(drawn) == size[1]
    assert max(len(line) for line in drawn) <= size[0]
    assert any(signs.lower in line for line in drawn)
    assert "11 min" in drawn[-1]


@pytest.mark.parametrize("size", [(15, 10), (80, 3), (0, 0)])
def test_no_picture_without_room(size: tuple[int, int]) -> None:
    assert picture(TRACE, *size, UNICODE) == []


def test_picture_falls_as_the_readings_do() -> None:
    drawn = picture(TRACE, 60, 14, UNICODE)
    columns = {line.index("●"): row for row, line in enumerate(drawn) if "●" in line}
    rows = [columns[column] for column in sorted(columns)]
    assert rows == sorted(rows)
    assert len(rows) > 6


def test_one_reading_can_be_drawn() -> None:
    single = Trace(np.array([0.0]), np.array([0.0]), np.array([0.0]), np.array([0.0]), "″", "min")
    assert len(picture(single, 40, 8, UNICODE)) == 8
    assert bars(single, 20, ascii_only=False) == "▁"


def test_bars_run_from_lowest_to_highest() -> None:
    assert bars(TRACE, 20, ascii_only=False)[0] == "█"
    assert bars(TRACE, 20, ascii_only=False)[-1] == "▁"
    assert bars(TRACE, 20, ascii_only=True).isascii()
    assert len(bars(TRACE, 5, ascii_only=False)) == 5
