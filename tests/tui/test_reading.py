"""The reading screen, driven by keys as a person or a gauge would."""

from __future__ import annotations

import asyncio
import csv
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from dataclasses import replace
from pathlib import Path

import pytest
from textual import events
from textual.pilot import Pilot

from sessions.bench import Place
from sessions.demo import copy_demo
from sessions.design import Design
from sessions.equipment import Instrument
from sessions.header import Header
from sessions.session import Session
from tests.tui.front import painted
from tui.app import FullturnApp
from tui.screens.ask import AskText
from tui.screens.judging import RECORDING
from tui.screens.reading import ReadingScreen
from tui.screens.suspects import SuspectsScreen
from tui.widgets.bench import EntryLine, MessageLine
from tui.widgets.matrix import Matrix
from tui.widgets.results import Results

PUBLISHED = Path(__file__).parents[1] / "published"
LATIN = Design(positions=5, offsets=(0, 1, 2, 3, 4), closing=False)


def begin(path: Path, design: Design, **instrument: object) -> Path:
    """Make an empty session and return its file."""
    Session.create(path, Header(design=design, instrument=Instrument(**instrument))).close()
    return path


def latin_column(run: int) -> list[str]:
    """The burning rates of one treatment as they would be typed: step = row, offset = treatment."""
    with (PUBLISHED / "latin_square_5x5.csv").open() as file:
        cells = {(int(row["row"]) - 1, int(row["col"]) - 1): row["y"] for row in csv.DictReader(file)}
    return [cells[step, (run - step) % 5] for step in range(5)]


@asynccontextmanager
async def at_bench(path: Path, size: tuple[int, int] = (120, 36)) -> AsyncIterator[Pilot[None]]:
    """Open a session on the reading screen."""
    app = FullturnApp(path.parent, path)
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        assert isinstance(app.screen, ReadingScreen)
        yield pilot


def reading_screen(pilot: Pilot[None]) -> ReadingScreen:
    """Return the reading screen, whatever stands before it."""
    return next(screen for screen in pilot.app.screen_stack if isinstance(screen, ReadingScreen))


def send(pilot: Pilot[None], text: str) -> None:
    """Post the keys of a text at full speed, newline as Enter, as a gauge that acts as a keyboard does."""
    names = {"\n": "enter", ".": "full_stop", "-": "minus", ",": "comma", "+": "plus"}
    for character in text:
        pilot.app.post_message(
            events.Key(names.get(character, character), None if character == "\n" else character)
        )


async def settled(pilot: Pilot[None]) -> ReadingScreen:
    """Wait until every key is handled and the newest readings are solved."""
    screen = reading_screen(pilot)
    for _ in range(200):
        await pilot.pause()
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        if not screen.solving.busy:
            return screen
    raise AssertionError("the screen does not settle")


def said(pilot: Pilot[None]) -> str:
    return str(reading_screen(pilot).query_one(MessageLine).visual)


async def test_the_handbooks_latin_square_typed(tmp_path: Path) -> None:
    """Montgomery's rocket-propellant example (read in course copies; recomputed), typed key by key."""
    async with at_bench(begin(tmp_path / "latin.toml", LATIN)) as pilot:
        for run in range(5):
            send(pilot, "".join(f"{value}\n" for value in latin_column(run)))
        screen = await settled(pilot)
        analysis = screen.analysis
        assert analysis is not None
        assert analysis.adjustment.degrees_of_freedom == 12
        assert analysis.adjustment.standard_deviation == pytest.approx(3.265986, abs=1e-6)
        assert analysis.lower.position.value == pytest.approx([-3.2, 1.4, 0.6, 0.2, 1.0])
        assert analysis.upper is not None
        assert analysis.upper.position.value == pytest.approx([-4.0, 3.2, -1.2, 0.6, 1.4])
        assert screen.flow.next is None


async def test_the_latin_square_with_a_missing_cell_typed(tmp_path: Path) -> None:
    """Row 3, column 2 left out: error SS 87.666667 on 11 degrees of freedom (Allan and Wishart 1930; recomputed)."""
    async with at_bench(begin(tmp_path / "latin.toml", LATIN)) as pilot:
        for run in range(5):
            for step, value in enumerate(latin_column(run)):
                if (run, step) == (3, 2):
                    await pilot.press("down")
                else:
                    send(pilot, f"{value}\n")
                    await pilot.pause()
        screen = await settled(pilot)
        assert screen.analysis is not None
        adjustment = screen.analysis.adjustment
        assert adjustment.degrees_of_freedom == 11
        assert adjustment.standard_deviation**2 * 11 == pytest.approx(87.666667, abs=1e-6)
        assert screen.flow.next is None
        assert screen.flow.left_out() == {Place(3, 2): 1}


async def test_a_burst_lands_in_the_right_cells(tmp_path: Path) -> None:
    design = Design(positions=20, offsets=(0, 1, 4, 9, 11), closing=False)
    path = begin(tmp_path / "burst.toml", design)
    values = [f"{(-1) ** i * (i + 1) / 100:.2f}" for i in range(100)]
    async with at_bench(path) as pilot:
        send(pilot, "".join(f"{value}\n" for value in values))
        await settled(pilot)
    with Session.read(path) as session:
        recorded = [session.matrix.readings(i // 20, i % 20)[0].value for i in range(100)]
    assert recorded == [float(value) for value in values]


async def test_decimal_comma_and_rub_out(tmp_path: Path) -> None:
    path = begin(tmp_path / "comma.toml", LATIN)
    async with at_bench(path) as pilot:
        await pilot.press("1", "comma", "6", "backspace", "5", "enter")
        await settled(pilot)
        assert reading_screen(pilot).session.matrix.readings(0, 0)[0].value == 1.5


async def test_what_is_no_number_stays_in_the_line(tmp_path: Path) -> None:
    async with at_bench(begin(tmp_path / "bad.toml", LATIN)) as pilot:
        await pilot.press("1", "full_stop", "2", "full_stop", "3", "enter")
        screen = await settled(pilot)
        assert screen.line.text == "1.2.3"
        assert "not a number" in said(pilot)
        assert screen.session.matrix.accepted == 0
        await pilot.press("escape")
        assert screen.line.text == ""
        assert isinstance(pilot.app.screen, ReadingScreen)


async def test_take_back_strikes_and_returns_to_the_cell(tmp_path: Path) -> None:
    async with at_bench(begin(tmp_path / "undo.toml", LATIN)) as pilot:
        send(pilot, "24\n17\n")
        await settled(pilot)
        await pilot.press("asterisk")
        screen = await settled(pilot)
        assert screen.session.matrix.struck == 1
        assert (screen.flow.place.run, screen.flow.place.step) == (0, 1)
        send(pilot, "18\n")
        await settled(pilot)
        assert [reading.value for reading in screen.session.matrix.readings(0, 1) if reading.counts] == [18]


async def test_taken_back_twice_names_the_key_that_strikes_one_reading_as_it_is_written(
    tmp_path: Path,
) -> None:
    """Capital S strikes the whole run."""
    async with at_bench(begin(tmp_path / "undo.toml", LATIN)) as pilot:
        send(pilot, "24\n17\n")
        await settled(pilot)
        await pilot.press("asterisk", "asterisk")
        screen = await settled(pilot)
        assert screen.session.matrix.struck == 1
        assert said(pilot).endswith("go to it and press s.")


async def test_strike_with_a_reason_and_restore(tmp_path: Path) -> None:
    async with at_bench(begin(tmp_path / "strike.toml", LATIN)) as pilot:
        send(pilot, "24\n17\n")
        screen = await settled(pilot)
        await pilot.press("up", "up", "s")
        await pilot.pause()
        await pilot.press(*"door", "enter")
        await settled(pilot)
        assert screen.session.matrix.readings(0, 0)[0].status == "struck"
        assert screen.session.matrix.readings(0, 0)[0].reason == "door"
        await pilot.press("r")
        await settled(pilot)
        assert screen.session.matrix.readings(0, 0)[0].status == "accepted"


async def test_a_pasted_column_fills_the_run(tmp_path: Path) -> None:
    async with at_bench(begin(tmp_path / "paste.toml", LATIN)) as pilot:
        pilot.app.post_message(events.Paste("24\n17,5\n\n18\n26\n22\n"))
        screen = await settled(pilot)
        assert screen.session.matrix.accepted == 5
        assert screen.session.matrix.readings(0, 1)[0].value == 17.5
        assert (screen.flow.place.run, screen.flow.place.step) == (1, 0)


@pytest.mark.parametrize(
    ("key", "counts", "last"), [("1", [2, 2, 1, 0, 0], (0, 2)), ("2", [1, 1, 1, 1, 1], (0, 0))]
)
async def test_a_column_that_can_be_meant_in_two_ways_is_asked_about(
    tmp_path: Path, key: str, counts: list[int], last: tuple[int, int]
) -> None:
    twice = replace(LATIN, repeats=2)
    async with at_bench(begin(tmp_path / "paste.toml", twice)) as pilot:
        pilot.app.post_message(events.Paste("24\n17\n18\n26\n22\n"))
        await settled(pilot)
        assert isinstance(pilot.app.screen, AskText)
        await pilot.press(key, "enter")
        screen = await settled(pilot)
        assert list(screen.session.matrix.count[0]) == counts
        assert (screen.flow.place.run, screen.flow.place.step) == last


async def test_a_column_of_all_repeats_of_a_run_needs_no_question(tmp_path: Path) -> None:
    twice = replace(LATIN, repeats=2)
    async with at_bench(begin(tmp_path / "paste.toml", twice)) as pilot:
        pilot.app.post_message(
            events.Paste("\n".join(["24", "24", "17", "17", "18", "18", "26", "26", "22", "22"]))
        )
        screen = await settled(pilot)
        assert list(screen.session.matrix.count[0]) == [2] * 5


@pytest.mark.parametrize("text", ["1\n2\n3\n4\n5\n6\n", "1\ntwo\n3\n", "", "\n", " \r\n\t\n"])
async def test_a_column_that_does_not_fit_or_is_none_is_refused_whole(tmp_path: Path, text: str) -> None:
    async with at_bench(begin(tmp_path / "paste.toml", LATIN)) as pilot:
        pilot.app.post_message(events.Paste(text))
        screen = await settled(pilot)
        assert screen.session.matrix.accepted == 0
        assert "nothing was taken" in said(pilot).lower()


async def test_every_reading_shown_is_in_the_file(tmp_path: Path) -> None:
    path = begin(tmp_path / "kept.toml", LATIN)
    async with at_bench(path) as pilot:
        send(pilot, "24\n17\n18\n")
        await settled(pilot)
        # Another program looks while the screen is still open.
        with Session.read(path) as other:
            assert other.matrix.accepted == 3


async def test_a_second_screen_is_read_only_and_says_so(tmp_path: Path) -> None:
    path = begin(tmp_path / "two.toml", LATIN)
    with Session.open(path):
        async with at_bench(path) as pilot:
            assert "read-only" in said(pilot).lower()
            send(pilot, "24\n")
            screen = await settled(pilot)
            assert screen.line.text == "24"
            assert screen.session.matrix.accepted == 0


async def test_a_read_only_screen_offers_only_what_can_be_done_and_says_why(tmp_path: Path) -> None:
    path = copy_demo(tmp_path)
    with Session.open(path):
        async with at_bench(path, (80, 24)) as pilot:
            screen = await settled(pilot)
            seen = painted(pilot.app)
            assert "read-only: no readings are taken" in seen
            footer = seen.splitlines()[-1]
            for offered in ("Suspects", "View", "Leave"):
                assert offered in footer
            for refused in ("Accept", "Undo", "Strike"):
                assert refused not in footer
            for key in RECORDING.values():
                screen._say("")
                await pilot.press(key)
                await settled(pilot)
                assert pilot.app.screen is screen
                assert said(pilot).startswith("! Read-only: ")
            for key in ("x", "a", "s"):
                await pilot.press(key)
                await pilot.pause()
            assert isinstance(pilot.app.screen, SuspectsScreen)
            assert "Read-only: " in painted(pilot.app)


async def test_resumed_where_it_was_left(tmp_path: Path) -> None:
    path = copy_demo(tmp_path)
    async with at_bench(path, (80, 24)) as pilot:
        screen = await settled(pilot)
        assert (screen.flow.place.run, screen.flow.place.step) == (3, 7)
        assert screen.analysis is not None
        assert screen.analysis.adjustment.determined


async def test_a_gone_file_is_said_and_the_value_stays(tmp_path: Path) -> None:
    path = begin(tmp_path / "gone.toml", LATIN)
    async with at_bench(path) as pilot:
        send(pilot, "24\n")
        await settled(pilot)
        path.unlink()
        send(pilot, "17\n")
        screen = await settled(pilot)
        assert screen.line.text == "17"
        assert screen.session.matrix.accepted == 1


async def test_views_and_panes_one_key_apart(tmp_path: Path) -> None:
    async with at_bench(copy_demo(tmp_path), (80, 24)) as pilot:
        screen = await settled(pilot)
        shown = []
        for _ in range(3):
            shown.append(
                [pane for pane in ("matrix", "results", "plot") if screen.query_one(f"#{pane}").display]
            )
            await pilot.press("tab")
        assert shown == [["matrix"], ["results"], ["plot"]]
        for view in ("residuals", "spread", "predicted", "readings"):
            await pilot.press("v")
            await pilot.pause()
            assert screen.view.value == view
        assert pilot.app.focused is screen.query_one(EntryLine)


async def test_typing_goes_on_while_another_pane_is_shown(tmp_path: Path) -> None:
    async with at_bench(copy_demo(tmp_path), (80, 24)) as pilot:
        screen = await settled(pilot)
        before = screen.session.matrix.accepted
        await pilot.press("tab")
        send(pilot, "3.52\n")
        await settled(pilot)
        assert screen.session.matrix.accepted == before + 1


async def test_the_mouse_moves_the_cursor(tmp_path: Path) -> None:
    async with at_bench(copy_demo(tmp_path)) as pilot:
        screen = await settled(pilot)
        await pilot.click(Matrix, offset=(15, 4))
        await settled(pilot)
        assert (screen.flow.place.run, screen.flow.place.step) == (0, 2)
        assert pilot.app.focused is screen.query_one(EntryLine)


async def test_leaving_frees_the_file(tmp_path: Path) -> None:
    path = begin(tmp_path / "free.toml", LATIN)
    async with at_bench(path) as pilot:
        send(pilot, "24\n")
        await settled(pilot)
        await pilot.press("escape")
        await asyncio.sleep(0)
        await pilot.pause()
        with Session.open(path) as session:
            assert not session.read_only


async def test_results_solved_while_their_pane_was_hidden_are_there_when_it_is_first_shown(
    tmp_path: Path,
) -> None:
    async with at_bench(copy_demo(tmp_path), (80, 24)) as pilot:
        screen = await settled(pilot)
        send(pilot, "3.52\n")
        await settled(pilot)
        await pilot.press("tab")
        await pilot.pause()
        lines = [screen.query_one(Results).render_line(y).text for y in range(4)]
        assert "93 of 104" in lines[0]
        assert "degrees of freedom" in lines[1]
        assert "results ↑↓" in painted(pilot.app).splitlines()[0]


async def test_a_look_at_another_cell_does_not_lead_the_bench_away(tmp_path: Path) -> None:
    async with at_bench(copy_demo(tmp_path)) as pilot:
        screen = await settled(pilot)
        screen.flow.move(0, 3)
        await pilot.press("s")
        await pilot.pause()
        await pilot.press("escape")
        await pilot.press("g")
        assert (screen.flow.place.run, screen.flow.place.step) == (3, 7)


@pytest.mark.parametrize("size", [(20, 5), (40, 9), (130, 9)])
async def test_a_tiny_screen_shows_what_to_set_what_is_typed_and_what_is_said(
    tmp_path: Path, size: tuple[int, int]
) -> None:
    async with at_bench(copy_demo(tmp_path), size) as pilot:
        await settled(pilot)
        send(pilot, "3.5")
        await pilot.pause()
        seen = painted(pilot.app).split()
        for word in ("Lower", "210°,", "upper", "0°", "3.5_"):
            assert word in seen
        send(pilot, "2\n")
        screen = await settled(pilot)
        assert screen.session.matrix.accepted == 93
        assert "+3.52" in painted(pilot.app)
        # The place for the rest comes back with the room.
        await pilot.resize_terminal(120, 36)
        await settled(pilot)
        assert "closing misfit" in painted(pilot.app)


async def test_a_reading_in_one_burst_with_a_cursor_key_lands_where_the_cursor_went(tmp_path: Path) -> None:
    async with at_bench(begin(tmp_path / "s.toml", Design(6, (0, 1, 2)))) as pilot:
        send(pilot, "1.0\n1.1\n")
        for keys in (("down",), ("right", "right", "up"), ("left", "home")):
            for key in keys:
                pilot.app.post_message(events.Key(key, None))
            send(pilot, "2.5\n")
        screen = await settled(pilot)
        placed = [screen.session.matrix.place(number) for number in (3, 4, 5)]
        # Down from run 0 step 2; from step 4 two runs on and one step up; from step 4 a run back and to its first step.
        assert placed == [(0, 3), (2, 3), (1, 0)]
