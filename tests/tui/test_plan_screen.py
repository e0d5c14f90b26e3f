"""The planner on the screen: figures in, choices out, the one taken begins a session."""

from __future__ import annotations

import asyncio
import threading
from pathlib import Path

import pytest
from textual import events
from textual.pilot import Pilot
from textual.widgets import Input

from sessions.plan import Plan, Wanted, plan
from sessions.session import Session
from tests.tui.front import front, painted, put, settled
from tui.app import FullturnApp
from tui.screens.new_session import NewSessionScreen
from tui.screens.plan import PlanScreen
from tui.screens.reading import ReadingScreen
from tui.screens.start import StartScreen
from tui.widgets.choice import Choice
from tui.widgets.field import Field
from tui.widgets.row_list import RowList


@pytest.fixture
def app(tmp_path: Path) -> FullturnApp:
    """Return the app on a folder that does not exist yet."""
    return front(tmp_path / "sessions")


async def planned(pilot: Pilot[None]) -> PlanScreen:
    """Wait until the table is that of the figures."""
    screen = pilot.app.screen
    assert isinstance(screen, PlanScreen)
    for _ in range(200):
        await pilot.pause()
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        if not screen._planning.busy:
            return screen
    raise AssertionError("the planner does not settle")


async def at_planner(pilot: Pilot[None]) -> PlanScreen:
    """Open the planner."""
    await settled(pilot)
    await pilot.press("p")
    await pilot.pause()
    return await planned(pilot)


def row(pilot: Pilot[None], runs: int) -> list[str]:
    """Return the words of the row with so many runs."""
    for line in painted(pilot.app).splitlines():
        words = [word for word in line.split() if word not in "▸*>"]
        if len(words) > 6 and words[0] == str(runs) and words[1].isdigit():
            return words
    raise AssertionError(f"no row of {runs} runs:\n{painted(pilot.app)}")


async def test_the_table_of_the_design_document(app: FullturnApp) -> None:
    """{0,1,4} of 12: 39 readings, 0.4543 s² (design document, section 2, which cites no source; recomputed)."""
    async with app.run_test(size=(160, 45)) as pilot:
        await at_planner(pilot)
        words = row(pilot, 3)
        assert words[:5] == ["3", "39", "0.9", "14", f"{0.05 * 0.4543**0.5:.3f}"]
        assert words[-3:] == ["0", "1", "4"]
        assert "assumed: type yours" in painted(app)
        assert "decides" not in painted(app)


async def test_a_tolerance_is_decided_and_the_recommended_row_says_why(app: FullturnApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await at_planner(pilot)
        await put(pilot, "tolerance", "0.2")
        await planned(pilot)
        seen = painted(app)
        line = next(line for line in seen.splitlines() if line.startswith(" ▸ *"))
        assert line.split()[2:4] == ["4", "52"]
        assert line.split()[-1] == "yes"
        assert "Recommended, 4 runs: the quickest that decides ±0.2″" in seen
        assert row(pilot, 2)[-1] == "no"
        await pilot.press("enter", "up", "up")
        assert app.focused is screen.query_one(RowList)
        assert "2 runs: does not decide." in painted(app)
        assert "Offsets 0 1" in painted(app)


async def test_enter_takes_a_row_into_the_form_and_on_to_the_bench(app: FullturnApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await at_planner(pilot)
        for field, text in (("positions", "7"), ("accepted-sd", "0,04"), ("tolerance", "0.3")):
            await put(pilot, field, text)
        await planned(pilot)
        await pilot.press("enter", "home", "down", "enter")
        await pilot.pause()
        form = app.screen
        assert isinstance(form, NewSessionScreen)
        assert (form.form.positions, form.form.offsets) == ("7", "0, 1, 3")
        assert (form.form.accepted_sd, form.form.lower_tolerance) == ("0,04", "0.3")
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert isinstance(app.screen, ReadingScreen)
        path = app.screen.session.path
        await pilot.press("escape")
        await settled(pilot)
        assert isinstance(app.screen, StartScreen)
    with Session.read(path) as session:
        assert session.header.design.offsets == (0, 1, 3)
        assert session.header.lower.tolerance == 0.3
        assert session.header.instrument.accepted_sd == 0.04


async def test_leaving_the_form_leads_back_to_the_planner_as_it_was(app: FullturnApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await at_planner(pilot)
        await put(pilot, "positions", "36")
        await planned(pilot)
        await pilot.press("enter", "enter")
        await pilot.pause()
        assert isinstance(app.screen, NewSessionScreen)
        await pilot.press("escape")
        await pilot.pause()
        assert app.screen is screen
        assert screen.form.positions == "36"
        await pilot.press("escape")
        assert isinstance(app.screen, StartScreen)
        assert not app.folder.exists()


async def test_a_step_angle_takes_the_place_of_the_positions(app: FullturnApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await at_planner(pilot)
        await put(pilot, "step", "10")
        await planned(pilot)
        assert screen.form.positions == ""
        assert "36 positions, 10° apart" in painted(app)
        await put(pilot, "positions", "8")
        await planned(pilot)
        assert screen.form.step == ""
        assert "8 positions, 45° apart" in painted(app)


async def test_what_is_wrong_is_said_and_no_row_of_before_can_be_taken(app: FullturnApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await at_planner(pilot)
        await put(pilot, "lower-divisions", "100")
        await pilot.press("enter")
        seen = painted(app)
        assert "! Lower divisions: 12 positions do not divide the 100 divisions" in seen
        assert "the table is of the figures before" in seen
        await pilot.press("enter")
        await pilot.pause()
        assert app.screen is screen
        await put(pilot, "lower-divisions", "360")
        await planned(pilot)
        assert "figures before" not in painted(app)
        assert "! " not in painted(app)


async def test_the_newest_figures_win(app: FullturnApp, monkeypatch: pytest.MonkeyPatch) -> None:
    """Figures typed while a plan is under way: what was asked for in between is never worked out, nor shown."""
    gate, asked = threading.Event(), []

    def slow(wanted: Wanted) -> Plan:
        asked.append(wanted.design.positions)
        assert gate.wait(10)
        return plan(wanted)

    monkeypatch.setattr("tui.screens.plan.plan", slow)
    async with app.run_test(size=(80, 24)) as pilot:
        await settled_start(pilot)
        await pilot.press("p")
        await pilot.pause()
        screen = app.screen
        assert isinstance(screen, PlanScreen)
        line = screen.query_one("#field-positions Input", Input)
        for positions in ("13", "14", "15", "x", "36"):
            line.value = positions
            await pilot.pause()
        assert screen.computing
        await pilot.press("enter", "enter")
        assert app.screen is screen
        gate.set()
        await planned(pilot)
        assert asked == [12, 36]
        assert "36 positions" in painted(app)
        assert not screen.computing


async def settled_start(pilot: Pilot[None]) -> None:
    """Wait for the start screen without waiting for workers, one of which a test holds up."""
    for _ in range(20):
        await pilot.pause()
        await asyncio.sleep(0.01)


async def test_a_result_that_became_wrong_meanwhile_is_not_shown(
    app: FullturnApp, monkeypatch: pytest.MonkeyPatch
) -> None:
    gate = threading.Event()

    def slow(wanted: Wanted) -> Plan:
        assert gate.wait(10)
        return plan(wanted)

    monkeypatch.setattr("tui.screens.plan.plan", slow)
    async with app.run_test(size=(80, 24)) as pilot:
        await settled_start(pilot)
        await pilot.press("p")
        await pilot.pause()
        app.screen.query_one("#field-positions Input", Input).value = "x"
        await pilot.pause()
        gate.set()
        screen = await planned(pilot)
        assert screen.query_one(RowList).option_count == 0


async def test_fast_keys_stay_in_the_field_they_were_typed_in(app: FullturnApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await at_planner(pilot)
        await pilot.press("ctrl+u")
        for key in [*"36", "down", *"04", "down", *"02"]:
            app.post_message(events.Key(key, key if len(key) == 1 else None))
        await planned(pilot)
        assert (screen.form.positions, screen.form.accepted_sd, screen.form.tolerance) == ("36", "04", "02")


async def test_up_from_the_first_row_leads_back_to_the_fields(app: FullturnApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await at_planner(pilot)
        await pilot.press("enter", "home", "up")
        assert isinstance(app.focused, Choice)
        await pilot.press("right")
        assert screen.form.closing == "no"


async def test_page_keys_move_the_row_from_a_field(app: FullturnApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await at_planner(pilot)
        before = screen.query_one(RowList).highlighted
        await pilot.press("pagedown", "pagedown", "pageup")
        assert before is not None
        assert screen.query_one(RowList).highlighted == before + 1
        assert isinstance(app.focused, Input)


async def test_a_single_closure_has_runs_and_no_offsets(app: FullturnApp) -> None:
    async with app.run_test(size=(160, 45)) as pilot:
        screen = await at_planner(pilot)
        closure = next(field for field in screen.query(Field) if field.field == "closure")
        closure.query_one(Choice).value = "single"
        await planned(pilot)
        assert all(
            field.disabled
            == (field.field in {"upper_divisions", "arrangement", "reading", "direction", "closing"})
            for field in screen.query(Field)
        )
        await pilot.press("f10")
        await pilot.pause()
        assert isinstance(app.screen, NewSessionScreen)
        assert app.screen.form.closure == "single"
        assert screen._plan is not None
        assert app.screen.form.runs == str(screen._plan.recommended.design.run_count)


async def test_a_click_takes_a_row(app: FullturnApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await at_planner(pilot)
        await pilot.click(RowList, offset=(10, 1))
        await pilot.pause()
        assert isinstance(app.screen, NewSessionScreen)
        assert app.screen.form.offsets == "0, 1, 4"
        assert screen.query_one(RowList).highlighted == 1


@pytest.mark.parametrize("size", [(80, 24), (160, 45)])
async def test_plain_ascii_signs_only(tmp_path: Path, size: tuple[int, int]) -> None:
    app = front(tmp_path, ascii_only=True)
    async with app.run_test(size=size) as pilot:
        await at_planner(pilot)
        await put(pilot, "positions", "360")
        await put(pilot, "tolerance", "0.1")
        await planned(pilot)
        assert painted(app).isascii(), [line for line in painted(app).splitlines() if not line.isascii()]
        await put(pilot, "lower-divisions", "7")
        await pilot.press("f1")
        await pilot.pause()
        assert painted(app).isascii()


async def test_no_number_is_cut_at_eighty_columns(app: FullturnApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await at_planner(pilot)
        await put(pilot, "positions", "1440")
        await put(pilot, "accepted-sd", "0.5")
        await put(pilot, "tolerance", "0.5")
        await planned(pilot)
        made = screen._plan
        assert made is not None
        await pilot.press("enter", "end")
        largest = made.choices[-1]
        assert row(pilot, largest.design.run_count)[:4] == [
            str(largest.design.run_count),
            str(largest.readings),
            f"{largest.hours:.0f}",
            str(largest.degrees_of_freedom),
        ]
