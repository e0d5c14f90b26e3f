"""The small questions: a line of text, and yes or no."""

from __future__ import annotations

import pytest
from textual.app import App
from textual.pilot import Pilot
from textual.screen import Screen

from tests.tui.front import painted
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
