"""The worksheets on the screen, typed whole as a person or a gauge would."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from math import asin, cos, pi, radians
from pathlib import Path

import pytest
from textual import events
from textual.pilot import Pilot
from textual.widgets import Footer

from sessions.entries import Amend, Setup
from sessions.session import Session
from sessions.worksheets import WORKSHEETS
from sessions.worksheets.cleaning import CLEANING
from sessions.worksheets.levelling import LEVELLING
from sessions.worksheets.lever import LEVER
from sessions.worksheets.reseating import RESEATING
from sessions.worksheets.sheet import Worksheet
from sessions.worksheets.warming import WARMING
from tests.sessions.kit import Clock, QuickDisk, example_header
from tests.tui.front import front, painted, until
from tui.app import FullturnApp
from tui.screens.ask import Confirm
from tui.screens.worksheet import WorksheetScreen
from tui.screens.worksheets import WorksheetsScreen
from tui.widgets.bench import MessageLine

READ = [1.0, 1.05, 0.97, 1.02, 0.94, 1.01, 1.08, 1.0, 0.99, 1.03]
TILT = [round(60 * cos(radians(45 * i - 70)), 2) for i in range(8)]


class Bench:
    """A session with its worksheets on the screen."""

    def __init__(self, pilot: Pilot[None], session: Session) -> None:
        self.pilot = pilot
        self.session = session
        self.rung = 0

    @property
    def screen(self) -> WorksheetScreen:
        screen = next(each for each in self.pilot.app.screen_stack if isinstance(each, WorksheetScreen))
        assert isinstance(screen, WorksheetScreen)
        return screen

    @property
    def shown(self) -> str:
        return painted(self.pilot.app)

    @property
    def said(self) -> str:
        return str(self.screen.query_one(MessageLine).content)

    async def send(self, *texts: object) -> None:
        """Post the keys of texts at full speed, each with Enter."""
        names = {".": "full_stop", "-": "minus", ",": "comma", "*": "asterisk"}
        for text in texts:
            for character in str(text):
                self.pilot.app.post_message(events.Key(names.get(character, character), character))
            self.pilot.app.post_message(events.Key("enter", None))
        await self.pilot.pause()

    def recorded(self) -> list[Setup]:
        return [entry for entry in self.session.entries if isinstance(entry, Setup)]


@asynccontextmanager
async def bench(
    folder: Path,
    worksheet: Worksheet | None,
    monkeypatch: pytest.MonkeyPatch | None = None,
    *,
    size: tuple[int, int] = (80, 24),
    ascii_only: bool = False,
    clock: list[float] | None = None,
) -> AsyncIterator[Bench]:
    """Open a worksheet of a new session over the list of worksheets."""
    session = Session.create(folder / "s.toml", example_header(), clock=Clock(), disk=QuickDisk())
    app = front(folder, ascii_only=ascii_only)
    async with app.run_test(size=size) as pilot:
        here = Bench(pilot, session)
        if monkeypatch is not None:
            monkeypatch.setattr(FullturnApp, "bell", lambda _self: setattr(here, "rung", here.rung + 1))
        await app.push_screen(WorksheetsScreen(session))
        if worksheet is not None:
            seconds = clock if clock is not None else [0.0]
            screen = WorksheetScreen(session, worksheet, clock=lambda: seconds[0])
            listed = app.screen
            assert isinstance(listed, WorksheetsScreen)
            await app.push_screen(screen, listed.back)
        await pilot.pause()
        yield here
    session.close()


async def test_levelling_typed_whole(tmp_path: Path) -> None:
    async with bench(tmp_path, LEVELLING) as here:
        assert "Stand the electronic level on the table" in here.shown
        assert "mains voltage" in here.shown
        await here.send("", "", "20", *TILT)
        shown = here.shown
        assert "! Does not pass" in shown
        assert "Raise the side at 250°" in shown
        assert "Everything is typed" in shown
        await here.pilot.press("r")
        await until(here.pilot, "Levelling recorded as entry 1: does not pass.")
        [entry] = here.recorded()
        assert entry.worksheet == "levelling"
        assert entry.result["level_arcsec"] == TILT
        assert entry.result["tilt_arcsec"] == pytest.approx(60, abs=0.01)
        assert "does not pass" in here.shown


async def test_polarity_typed_whole_and_amended(tmp_path: Path) -> None:
    reading = asin(0.1 / 250) * 180 * 3600 / pi
    pairs = [0.0, -round(reading, 2), 0.01, -round(reading - 0.02, 2)]
    async with bench(tmp_path, LEVER) as here:
        await here.send(250, "", "0,1", "", 1, 2, "", *pairs)
        assert "Polarity" in here.shown
        await here.pilot.press("r")
        await until(here.pilot, "Set the polarity of the instrument to −1?")
        await here.pilot.press("y")
        await until(here.pilot, "Amended")
        assert here.session.header.instrument.polarity == -1
        [_, amend] = here.session.entries
        assert isinstance(amend, Amend)
        assert (amend.field, amend.value) == ("instrument.polarity", -1)
        assert "sine lever" in amend.reason


async def test_seating_typed_whole_and_accepted(tmp_path: Path) -> None:
    async with bench(tmp_path, RESEATING) as here:
        await here.send("", "0.2", *READ)
        assert "+ Passes" in here.shown
        await here.pilot.press("r")
        await until(here.pilot, "deviation?")
        await here.pilot.press("y")
        await until(here.pilot, "Amended")
        instrument = here.session.header.instrument
        assert instrument.accepted_sd == pytest.approx(0.039567, rel=1e-3)
        assert instrument.accepted_sd_dof == 9


async def test_a_proposal_may_be_declined(tmp_path: Path) -> None:
    async with bench(tmp_path, RESEATING) as here:
        await here.send("", "0.2", *READ)
        await here.pilot.press("r")
        await until(here.pilot, "deviation?")
        await here.pilot.press("escape")
        await until(here.pilot, "Seating repeatability recorded as entry 1: passes.")
        assert here.session.header == example_header()
        assert len(here.session.entries) == 1


async def test_warm_up_typed_whole_with_its_bell(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    seconds = [100.0]
    async with bench(tmp_path, WARMING, monkeypatch, size=(160, 45), clock=seconds) as here:
        await here.send("", 20, "", "0.5", 5)
        assert "due in 1:00" in here.shown
        seconds[0] += 45
        here.screen.tick()
        await here.pilot.pause()
        assert "due in 0:15" in here.shown
        assert here.rung == 0
        seconds[0] += 20
        here.screen.tick()
        here.screen.tick()
        await here.pilot.pause()
        assert "due now" in here.shown
        assert here.rung == 1
        await here.send(4, 3, 2.5, 2.2)
        assert "! Does not pass" in here.shown
        await here.send(*[2.0, 2.001, 2.0, 2.001, 2.0] * 3)
        assert "+ Passes" in here.shown
        assert "19 min" in here.shown
        assert "─" in here.shown
        await here.pilot.press("r")
        await until(here.pilot, "Warm-up recorded as entry 1: passes.")
        assert len(here.recorded()[0].result["reading_arcsec"]) == 20


async def test_a_burst_of_readings_lands_right(tmp_path: Path) -> None:
    values = [round(0.37 * i - 17.3, 2) for i in range(100)]
    async with bench(tmp_path, RESEATING) as here:
        await here.send(100, "", *values)
        assert here.screen.filling.result["reading_arcsec"] == values


async def test_a_pasted_column_fills_the_lines(tmp_path: Path) -> None:
    async with bench(tmp_path, LEVELLING) as here:
        await here.send("", "", "20")
        here.pilot.app.post_message(events.Paste("\n".join(str(value) for value in TILT)))
        await here.pilot.pause()
        assert "Everything is typed" in here.shown
        assert here.screen.filling.result["level_arcsec"] == TILT


async def test_a_bad_paste_takes_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    async with bench(tmp_path, LEVELLING, monkeypatch) as here:
        await here.send("", "", "20")
        here.pilot.app.post_message(events.Paste("1\n2\nlots\n4"))
        await here.pilot.pause()
        assert here.said.startswith("! ")
        assert here.rung == 1
        assert not here.screen.filling.slots[3].text


async def test_bad_input_is_refused_aloud_and_nothing_lost(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with bench(tmp_path, LEVELLING, monkeypatch) as here:
        await here.send("", "", "20", "12.5")
        await here.send("1.2.3")
        assert here.said.startswith("! “1.2.3” is not a number")
        assert here.rung == 1
        assert here.screen.line.text == "1.2.3"
        await here.pilot.press("escape")
        assert here.screen.line.text == ""
        await here.send("-3")
        assert [slot.text for slot in here.screen.filling.slots[3:5]] == ["12.5", "−3"]


async def test_what_cannot_become_a_number_is_said_until_it_can(tmp_path: Path) -> None:
    async with bench(tmp_path, LEVELLING) as here:
        await here.send("", "", "20")
        await here.pilot.press("1", "x")
        assert "is no number" in here.said
        await here.pilot.press("backspace")
        assert here.said == ""


@pytest.mark.parametrize("line_end", [["ctrl+j"], ["enter", "ctrl+j"]])
async def test_gauges_that_end_a_line_by_a_line_feed_are_understood(
    tmp_path: Path, line_end: list[str]
) -> None:
    async with bench(tmp_path, LEVELLING) as here:
        await here.send("", "", "20")
        for number in ("5", "7"):
            for key in (number, *line_end):
                here.pilot.app.post_message(events.Key(key, number if key == number else None))
        await here.pilot.pause()
        assert [slot.text for slot in here.screen.filling.slots[3:6]] == ["5", "7", ""]


async def test_an_empty_line_is_refused_where_a_number_is_needed(tmp_path: Path) -> None:
    async with bench(tmp_path, CLEANING) as here:
        await here.send("")
        assert "nothing is typed" in here.said
        await here.send("2")
        assert "none of the choices" in here.said
        assert not here.screen.filling.touched


async def test_a_half_filled_worksheet_says_that_it_is_not_recorded(tmp_path: Path) -> None:
    async with bench(tmp_path, LEVELLING) as here:
        await here.send("", "4", "20", "1", "2")
        await here.pilot.press("r")
        assert "not complete" in here.said
        await here.pilot.press("escape")
        await until(here.pilot, "It is not recorded")
        await here.pilot.press("s")
        assert isinstance(here.pilot.app.screen, WorksheetScreen)
        await here.pilot.press("escape")
        await until(here.pilot, "It is not recorded")
        await here.pilot.press("l")
        await until(here.pilot, "Levelling left, not recorded.")
        assert here.session.entries == ()


async def test_an_untouched_worksheet_is_left_without_a_question(tmp_path: Path) -> None:
    async with bench(tmp_path, LEVELLING) as here:
        await here.send("", "")
        await here.pilot.press("escape")
        assert isinstance(here.pilot.app.screen, WorksheetsScreen)


async def test_a_half_typed_number_is_not_lost_to_the_record(tmp_path: Path) -> None:
    async with bench(tmp_path, LEVELLING) as here:
        await here.send("", "4", "20", "1", "2", "3", "4")
        await here.pilot.press("up", "7", "f10")
        assert "half typed" in here.said
        await here.pilot.press("r")
        assert "“7r” is no number" in here.said
        assert here.session.entries == ()


async def test_take_back_and_type_again(tmp_path: Path) -> None:
    async with bench(tmp_path, LEVELLING) as here:
        await here.send("", "4", "20", "1", "22")
        await here.pilot.press("asterisk")
        assert "Taken back: Level at 90°" in here.said
        await here.send("2", "3", "4")
        assert here.screen.filling.result["level_arcsec"] == [1, 2, 3, 4]


async def test_a_click_goes_to_a_line(tmp_path: Path) -> None:
    async with bench(tmp_path, LEVELLING) as here:
        await here.pilot.click("#slots", offset=(5, 1))
        await here.send("4")
        assert here.screen.filling.slots[1].text == "4"
        await here.pilot.click("#slots", offset=(5, 2))
        assert here.screen.filling.here is here.screen.filling.slots[2]


async def test_nothing_can_be_recorded_read_only(tmp_path: Path) -> None:
    Session.create(tmp_path / "r.toml", example_header(), clock=Clock(), disk=QuickDisk()).close()
    session = Session.read(tmp_path / "r.toml")
    app = front(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        await app.push_screen(WorksheetScreen(session, CLEANING))
        here = Bench(pilot, session)
        await pilot.pause()
        assert "read-only" in here.shown
        await here.send(1, 1, 1, 1, 1, 1)
        await pilot.press("r")
        assert here.said.startswith("! nothing can be recorded")
        assert isinstance(app.screen, WorksheetScreen)


async def test_the_list_tells_what_is_done(tmp_path: Path) -> None:
    async with bench(tmp_path, None) as here:
        assert here.shown.count("not done") == 8
        for worksheet in WORKSHEETS:
            assert worksheet.title in here.shown
        await here.pilot.press("enter")
        await here.send(1, 1, 1, 1, 1, 1)
        await here.pilot.press("r")
        shown = await until(here.pilot, "+ passes")
        assert shown.count("not done") == 7
        assert "All 6 points done." in shown
        await here.pilot.press("down", "enter")
        assert here.screen.title == "Levelling"


async def test_the_list_returns_to_where_it_came_from(tmp_path: Path) -> None:
    async with bench(tmp_path, None) as here:
        await here.pilot.press("escape")
        assert not isinstance(here.pilot.app.screen, WorksheetsScreen)
        here.session.note("the session is still open")


@pytest.mark.parametrize("worksheet", WORKSHEETS, ids=lambda worksheet: worksheet.name)
@pytest.mark.parametrize("size", [(80, 24), (120, 36)])
async def test_every_worksheet_shows_what_it_asks(
    tmp_path: Path, worksheet: Worksheet, size: tuple[int, int]
) -> None:
    async with bench(tmp_path, worksheet, size=size) as here:
        shown = here.shown
        assert worksheet.title in shown
        assert worksheet.steps[0].split()[0] in shown
        assert here.screen.filling.slots[0].label in shown
        for line in shown.splitlines():
            assert len(line) == size[0]
        if size[0] >= 80:
            words = " ".join(shown.split())
            assert worksheet.caution.split(".")[0].split(",")[0].split(":")[0][:20] in words


@pytest.mark.parametrize("worksheet", WORKSHEETS, ids=lambda worksheet: worksheet.name)
async def test_plain_ascii(tmp_path: Path, worksheet: Worksheet, monkeypatch: pytest.MonkeyPatch) -> None:
    async with bench(tmp_path, worksheet, ascii_only=True, size=(160, 45)) as here:
        here.session.amend("title", "plain", "for the test")
        await here.send(1, 2, 3, 4)
        body = "\n".join(here.shown.splitlines()[1:])
        assert body.isascii(), [character for character in body if not character.isascii()]


async def test_no_color_keeps_the_verdict(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    async with bench(tmp_path, CLEANING) as here:
        await here.send(1, 1, 1, 1, 1, 0)
        assert "! Does not pass" in here.shown
        assert here.pilot.app.no_color
        here.pilot.app.export_screenshot()


async def test_help_and_footer_name_the_keys(tmp_path: Path) -> None:
    async with bench(tmp_path, LEVELLING) as here:
        line = here.shown.splitlines()[-1]
        for words in ("Record", "Undo", "Leave", "Help"):
            assert words in line
        assert here.screen.query_one(Footer).region.bottom == 24
        await here.pilot.press("f1")
        await until(here.pilot, "Nothing is in the record before you record it")


async def test_steps_make_room_for_results_and_come_back(tmp_path: Path) -> None:
    async with bench(tmp_path, LEVELLING) as here:
        await here.send("", "4", "20", "1", "2", "3", "4")
        assert "Stand the electronic level" not in here.shown
        await here.pilot.press("tab")
        await here.pilot.pause()
        assert "Stand the electronic level" in here.shown


async def test_what_was_measured_before_is_proposed_again(tmp_path: Path) -> None:
    async with bench(tmp_path, None) as here:
        here.session.setup("centring", {"verdict": "passes", "found": "x.", "diameter_mm": 123.5})
        for _ in range(2):
            await here.pilot.press("down")
        await here.pilot.press("enter")
        await here.pilot.pause()
        assert here.screen.filling.slots[1].text == "123.5"
        assert "(123.5)" in here.shown


async def test_confirm_is_not_taken_by_the_same_burst(tmp_path: Path) -> None:
    """A gauge that sends one Enter too many records and amends nothing."""
    async with bench(tmp_path, RESEATING) as here:
        await here.send("", "0.2", *READ, "", "")
        assert not isinstance(here.pilot.app.screen, Confirm)
        assert here.session.entries == ()
