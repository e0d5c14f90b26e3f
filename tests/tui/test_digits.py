"""The last reading in large digits: sizes, shapes, and what is left out when there is no room."""

from __future__ import annotations

import pytest

from tests.tui.widget_demo import Stage, screen_text
from tui.widgets.digits import Digits
from tui.widgets.glyphs import has_shapes, large
from tui.widgets.marks import Tone


@pytest.mark.parametrize("ascii_only", [False, True])
@pytest.mark.parametrize("rows", [3, 5])
def test_every_character_has_its_own_shape(rows: int, ascii_only: bool) -> None:
    shapes = {character: large(character, rows, ascii_only=ascii_only) for character in "0123456789+-. "}
    assert len(set(shapes.values())) == 14
    for shape in shapes.values():
        assert len(shape) == rows
        assert len({len(line) for line in shape}) == 1
        assert not ascii_only or "".join(shape).isascii()
    assert len({len(shapes[digit][0]) for digit in "0123456789"}) == 1 or not ascii_only


@pytest.mark.parametrize(("text", "known"), [("-1.50", True), ("−1.50", True), ("", False), ("1e5", False)])
def test_what_can_be_drawn_large(text: str, known: bool) -> None:
    assert has_shapes(text) is known


@pytest.mark.parametrize(
    ("size", "rows", "captioned"),
    [
        ((60, 8), 5, True),
        ((60, 6), 5, True),
        ((60, 5), 5, False),
        ((60, 4), 3, True),
        ((60, 3), 3, False),
        ((28, 6), 3, True),
        ((60, 2), 1, True),
        ((60, 1), 1, False),
        ((12, 6), 1, True),
    ],
)
async def test_height_follows_the_room(size: tuple[int, int], rows: int, captioned: bool) -> None:
    widget = Digits()
    widget.styles.height = size[1]
    async with Stage(widget).run_test(size=(size[0], 24)) as pilot:
        widget.show("-14.05", "run 2")
        await pilot.pause()
        lines = [line.strip() for line in screen_text(widget)]
        number = [line for line in lines if line and line != "run 2"]
        assert len(number) == rows
        assert ("run 2" in lines) is captioned
        assert rows > 1 or number == ["-14.05"]


async def test_nothing_is_drawn_without_room_or_number() -> None:
    widget = Digits()
    async with Stage(widget).run_test(size=(40, 10)) as pilot:
        assert not "".join(screen_text(widget)).strip()
        widget.show("12345.678", "run 12")
        widget.styles.width = 5
        await pilot.pause()
        assert [line.strip() for line in screen_text(widget) if line.strip()] == ["…", "run…"]
        widget.show("")
        await pilot.pause()
        assert not "".join(screen_text(widget)).strip()


async def test_digits_stand_still_with_or_without_sign() -> None:
    widget = Digits()
    async with Stage(widget).run_test(size=(60, 10)) as pilot:
        widget.show("8.88")
        await pilot.pause()
        plain = screen_text(widget)
        widget.show("-8.88")
        await pilot.pause()
        signed = screen_text(widget)
        column = len(plain[0]) - len(plain[0].lstrip())
        assert [line[column:] for line in plain] == [line[column:] for line in signed]
        assert plain != signed


@pytest.mark.parametrize("ascii_only", [False, True])
async def test_a_suspect_number_is_marked_without_colour(ascii_only: bool) -> None:
    widget = Digits(ascii_only=ascii_only)
    async with Stage(widget).run_test(size=(60, 10)) as pilot:
        captions = set()
        for tone in (Tone.PLAIN, Tone.SUSPECT, Tone.STRONG_SUSPECT, Tone.STRUCK, Tone.KEPT):
            widget.show("-0.31", "run 2", tone)
            await pilot.pause()
            captions.add(next(line.strip() for line in screen_text(widget) if "run 2" in line))
            assert not ascii_only or "".join(screen_text(widget)).isascii()
        assert len(captions) == 5
