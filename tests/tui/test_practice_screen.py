"""The practice bench on the screen, played by keys as a learner would."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from textual import events
from textual.pilot import Pilot

from sessions.design import Design
from sessions.practice.begin import begin, play
from sessions.practice.bench import PracticeBench
from sessions.practice.parameters import USUAL_SLIPS, Parameters
from sessions.session import Session
from tests.tui.front import front, painted, settled
from tests.tui.test_reading import send
from tui.app import FullturnApp
from tui.screens.ask import Confirm
from tui.screens.practice import Instrument, PracticeScreen
from tui.screens.practice_menu import PracticeMenu
from tui.screens.reading import ReadingScreen
from tui.screens.start import StartScreen
from tui.screens.truth import TruthScreen
from tui.screens.walk import WalkScreen

PLAN = Design(8, (0, 1, 3))


def session_file(tmp_path: Path, parameters: Parameters, *, full: bool = False, plan: Design = PLAN) -> Path:
    """Begin a simulated session, or play one to its end, and return its file."""
    with begin(tmp_path / "practice.toml", plan, parameters) as session:
        if full:
            play(session)
    return tmp_path / "practice.toml"


def at_bench(pilot: Pilot[None]) -> PracticeScreen:
    """Return the practice screen, whatever stands before it."""
    return next(screen for screen in pilot.app.screen_stack if isinstance(screen, PracticeScreen))


async def solved(pilot: Pilot[None]) -> PracticeScreen:
    """Wait until every key is handled and the newest readings are solved."""
    for _ in range(200):
        await pilot.pause()
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        found = [screen for screen in pilot.app.screen_stack if isinstance(screen, PracticeScreen)]
        if found and not found[0].solving.busy:
            return found[0]
    raise AssertionError("the screen does not settle")


def shown(pilot: Pilot[None]) -> str:
    """Return what the instrument shows, as a learner would type it."""
    words = str(at_bench(pilot).query_one(Instrument).visual).split()
    return words[-1].rstrip('″"').replace("−", "-")


def front_at(path: Path, *, ascii_only: bool = False) -> FullturnApp:
    return front(path.parent, path, ascii_only=ascii_only)


async def test_a_session_played_to_its_end_by_what_the_screen_shows(tmp_path: Path) -> None:
    """Every reading typed as shown; then the truth lies within the uncertainty about as often as it should."""
    path = session_file(tmp_path, Parameters(21).calm)
    app = front_at(path)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        for _ in range(27):
            assert "The instrument shows" in painted(app)
            send(pilot, f"{shown(pilot)}\n")
            await pilot.pause()
        screen = await solved(pilot)
        assert isinstance(screen, PracticeScreen)
        assert screen.flow.next is None
        assert "All readings are taken: e shows the truth." in painted(app)
        await pilot.press("e")
        await pilot.pause()
        assert isinstance(app.screen, TruthScreen)
        seen = painted(app)
        found = app.screen._found
        assert found.known == 16
        assert 13 <= found.inside <= 16
        assert f"{found.inside} of 16 true errors lie within U" in seen
        assert not found.mistyped
        await pilot.press("escape")
        assert app.screen is screen
    with Session.read(path) as session:
        assert [each.reading.value == each.shown.value for each in PracticeBench(session).taken] == [
            True
        ] * 27


async def test_slips_are_found_by_following_what_the_program_says(tmp_path: Path) -> None:
    """A learner who types what is called out, and strikes and reads again what is flagged, loses nothing."""
    path = session_file(tmp_path, replace(Parameters(7).calm, slips=USUAL_SLIPS))
    app = front_at(path)
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.pause()
        assert "The assistant calls out" in painted(app)
        for _ in range(27):
            send(pilot, f"{shown(pilot)}\n")
            await pilot.pause()
        screen = await solved(pilot)
        for _ in range(10):
            if not screen.suspicion.flags:
                break
            await pilot.press("j", "s")
            await pilot.pause()
            await pilot.press(*"again", "enter")
            await solved(pilot)
            await pilot.press("g")
            send(pilot, f"{shown(pilot)}\n")
            await solved(pilot)
        assert not screen.suspicion.flags
        await pilot.press("e")
        await pilot.pause()
        assert isinstance(app.screen, TruthScreen)
        found = app.screen._found
        assert len(found.slips) == 2
        assert {each.fate for each in found.slips} == {"put right"}
        assert "put right" in painted(app)
        assert found.inside >= 13


async def test_a_missed_slip_and_a_typing_slip_are_told(tmp_path: Path) -> None:
    parameters = replace(Parameters(7).calm, slips=USUAL_SLIPS)
    path = session_file(tmp_path, parameters, full=True)
    with Session.open(path) as session:
        last = session.matrix.last
        assert last is not None
        session.strike(last.number, "typing slip")
        session.take(last.run, last.step, last.value + 0.01)
    app = front_at(path)
    async with app.run_test(size=(120, 40)) as pilot:
        await solved(pilot)
        await pilot.press("e")
        await pilot.pause()
        seen = painted(app)
        assert "flagged, and left as it was" in seen
        assert "run 2 step 8: typed" in seen


async def test_the_truth_is_not_shown_early_without_asking(tmp_path: Path) -> None:
    app = front_at(session_file(tmp_path, Parameters(3)))
    async with app.run_test(size=(80, 24)) as pilot:
        await solved(pilot)
        await pilot.press("e")
        await pilot.pause()
        assert isinstance(app.screen, Confirm)
        assert "27 readings are still to be taken" in painted(app)
        await pilot.press("escape")
        assert isinstance(app.screen, PracticeScreen)
        await pilot.press("e")
        await pilot.pause()
        await pilot.press("y")
        await pilot.pause()
        assert isinstance(app.screen, TruthScreen)
        assert "27 planned cells are not read." in painted(app)


async def test_the_instrument_follows_the_cursor_and_what_is_taken_back(tmp_path: Path) -> None:
    app = front_at(session_file(tmp_path, Parameters(3).calm))
    async with app.run_test(size=(80, 24)) as pilot:
        await solved(pilot)
        first = shown(pilot)
        await pilot.press("down")
        await solved(pilot)
        assert shown(pilot) != first
        await pilot.press("up")
        await solved(pilot)
        assert shown(pilot) == first
        send(pilot, "99\n")
        await solved(pilot)
        await pilot.press("asterisk")
        await solved(pilot)
        assert shown(pilot) == first


async def test_left_and_resumed_from_the_list_it_is_still_the_practice_bench(tmp_path: Path) -> None:
    path = session_file(tmp_path, Parameters(3).calm)
    app = front(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(app.screen, PracticeScreen)
        second = PracticeBench(app.screen.session).shows(0, 1).value
        send(pilot, f"{shown(pilot)}\n")
        await solved(pilot)
        await pilot.press("escape")
        await settled(pilot)
        assert isinstance(app.screen, StartScreen)
        await pilot.press("enter")
        await pilot.pause()
        assert float(shown(pilot)) == second
    assert path.exists()


async def test_a_session_of_ones_own_has_no_simulated_instrument(tmp_path: Path) -> None:
    app = front(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await pilot.press("d")
        await pilot.pause()
        assert type(app.screen) is ReadingScreen


async def test_a_simulation_that_cannot_be_read_is_refused_and_the_file_freed(tmp_path: Path) -> None:
    path = session_file(tmp_path, Parameters(3))
    path.write_text(
        "\n".join(
            line
            for line in path.read_text(encoding="utf-8")
            .replace("turbulence = 0.05", "turbulence = 5.0")
            .splitlines()
            if not line.startswith("check = ")
        )
        + "\n",
        encoding="utf-8",
    )
    app = front(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await pilot.press("enter")
        await settled(pilot)
        assert isinstance(app.screen, StartScreen)
        assert "turbulence" in next(iter(app._notifications)).message
        with Session.open(path) as session:
            assert not session.read_only


async def test_the_menu_leads_to_the_walk_and_to_each_bench(tmp_path: Path) -> None:
    app = front(tmp_path / "new folder")
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await pilot.press("t")
        await pilot.pause()
        assert isinstance(app.screen, PracticeMenu)
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(app.screen, WalkScreen)
        await pilot.press("escape")
        await pilot.pause()
        assert isinstance(app.screen, PracticeMenu)
        kinds = []
        for down in (1, 2, 3):
            await pilot.press("home", *["down"] * down, "enter")
            await pilot.pause()
            assert isinstance(app.screen, PracticeScreen)
            parameters = PracticeBench(app.screen.session).parameters
            kinds.append((parameters.drift > 0, parameters.slips > 0))
            await pilot.press("escape")
            await settled(pilot)
            await pilot.press("t")
            await pilot.pause()
        assert kinds == [(False, False), (True, False), (True, True)]
        await pilot.press("escape")
        await settled(pilot)
        assert isinstance(app.screen, StartScreen)
    assert len(list((tmp_path / "new folder").glob("practice*.toml"))) == 3


async def test_fast_keys_in_the_menu_do_not_overtake_each_other(tmp_path: Path) -> None:
    app = front(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await pilot.press("t")
        await pilot.pause()
        for key in ("down", "down", "down", "up", "enter"):
            app.post_message(events.Key(key, None))
        screen = await solved(pilot)
        assert PracticeBench(screen.session).parameters.drift > 0
        assert not PracticeBench(screen.session).parameters.slips


async def test_a_folder_that_cannot_be_written_is_said(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    app = front(tmp_path / "file" / "folder")
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await pilot.press("t")
        await pilot.pause()
        await pilot.press("down", "enter")
        await pilot.pause()
        assert isinstance(app.screen, PracticeMenu)
        assert list(app._notifications)


@pytest.mark.parametrize("size", [(80, 24), (160, 45)])
async def test_plain_ascii_signs_only(tmp_path: Path, size: tuple[int, int]) -> None:
    path = session_file(tmp_path, Parameters(5, slips=USUAL_SLIPS), full=True)
    app = front_at(path, ascii_only=True)
    async with app.run_test(size=size) as pilot:
        await solved(pilot)
        for keys in (("home",), ("e",), ("end",), ("f1",), ("escape", "escape", "escape", "t"), ("enter",)):
            await pilot.press(*keys)
            await pilot.pause()
            assert painted(app).isascii(), [line for line in painted(app).splitlines() if not line.isascii()]
        assert isinstance(app.screen, WalkScreen)


async def test_everything_fits_on_eighty_by_twenty_four(tmp_path: Path) -> None:
    app = front_at(session_file(tmp_path, replace(Parameters(5).calm, slips=USUAL_SLIPS)))
    async with app.run_test(size=(80, 24)) as pilot:
        await solved(pilot)
        lines = painted(app).splitlines()
        place = next(number for number, line in enumerate(lines) if "calls out" in line)
        assert "Lower to 0°, upper to 0°" in lines[place + 1]
        assert "type the reading" in lines[place + 6]
        assert "The truth" in lines[-1]
