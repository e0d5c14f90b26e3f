"""The small questions: a line of text, and yes or no."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.app import App
from textual.pilot import Pilot
from textual.screen import Screen

from sessions.entries import Conditions
from tests.tui.front import painted
from tests.tui.test_reading import LATIN, at_bench, begin, settled
from tui.screens.ask import AskText, Confirm

UNANSWERED = object()


class Asking(App[None]):
    """Asks one question and keeps the answer."""

    def __init__(self, question: Screen[object]) -> None:
        super().__init__()
        self.question = question
        self.answer: object = UNANSWERED

    def on_mount(self) -> None:
        def keep(answer: object) -> None:
            self.answer = answer

        self.push_screen(self.question, keep)


async def answered(question: Screen[object], *keys: str) -> object:
    """Press keys at a question and return the answer."""
    app = Asking(question)
    async with app.run_test(size=(80, 24)) as pilot:
        await pressed(pilot, *keys)
        return app.answer


async def pressed(pilot: Pilot[None], *keys: str) -> None:
    await pilot.pause()
    await pilot.press(*keys)
    await pilot.pause()


async def test_a_text_is_taken_with_enter_and_left_with_escape() -> None:
    assert await answered(AskText("Why?"), *"bump", "enter") == "bump"
    assert await answered(AskText("Why?"), *"bump", "escape") is None
    assert await answered(AskText("Why?", initial="door"), "enter") == "door"


async def test_an_empty_text_is_turned_down_unless_it_may_be_empty() -> None:
    assert await answered(AskText("Why?"), "space", "enter") is UNANSWERED
    assert await answered(AskText("Why?", required=False), "enter") == ""


async def test_a_suggestion_is_completed() -> None:
    offered = ("door opened", "mirror knocked")
    assert await answered(AskText("Why?", suggestions=offered), "M", "tab", "enter") == "mirror knocked"
    assert await answered(AskText("Why?", suggestions=offered), "d", "right", "enter") == "door opened"


async def test_what_does_not_pass_is_told_and_stays() -> None:
    app = Asking(AskText("How warm?", check=lambda text: "" if text.isdigit() else "Not a number."))
    async with app.run_test(size=(80, 24)) as pilot:
        await pressed(pilot, *"2x", "enter")
        assert app.answer is UNANSWERED
        assert "! Not a number." in painted(app)
        await pressed(pilot, "backspace", "enter")
        assert app.answer == "2"


@pytest.mark.parametrize(
    ("keys", "answer"),
    [
        (["l"], True),
        (["s"], False),
        (["escape"], False),
        (["enter"], True),
        (["right", "enter"], False),
        (["tab", "enter"], False),
    ],
)
async def test_yes_or_no(keys: list[str], answer: bool) -> None:
    assert await answered(Confirm("Leave?", yes="Leave it", no="Stay"), *keys) is answer


async def test_brackets_in_a_question_are_text() -> None:
    app = Asking(Confirm("Leave [bold]this[/bold]?", note="[red]gone"))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert "Leave [bold]this[/bold]?" in painted(app)
        assert "[red]gone" in painted(app)


async def test_a_wrong_state_of_the_air_stays_in_its_line(tmp_path: Path) -> None:
    """Else the next number typed would be taken for a reading."""
    async with at_bench(begin(tmp_path / "air.toml", LATIN)) as pilot:
        screen = await settled(pilot)
        await pilot.press("t")
        await pilot.pause()
        for typed, wrong in (("20.1", "three values"), (" 1013", "three values"), (" 130", "humidity")):
            await pilot.press(*("space" if key == " " else key for key in typed), "enter")
            await pilot.pause()
            assert isinstance(pilot.app.screen, AskText)
            assert wrong in painted(pilot.app)
        await pilot.press("backspace", "enter")
        await pilot.pause()
        assert pilot.app.screen is screen
        assert screen.session.matrix.last is None
        (entry,) = screen.session.entries
        assert isinstance(entry, Conditions)
        assert (entry.temperature, entry.pressure, entry.humidity) == (20.1, 1013.0, 13.0)
