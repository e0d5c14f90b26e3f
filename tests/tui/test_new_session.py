"""The form of a new session, filled in by keys and mouse."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from textual import events
from textual.app import App, ComposeResult
from textual.pilot import Pilot
from textual.widgets import Input

from sessions.form_earlier import form_from
from sessions.header import Header
from sessions.new import FIELDS, Form, check
from sessions.session import Session
from tests.sessions.certified import header as certified_header
from tests.tui.front import NOW, front, painted, put, settled
from tui.app import FullturnApp
from tui.screens.ask import Confirm
from tui.screens.form_page import lines
from tui.screens.new_session import NewSessionScreen
from tui.screens.reading import ReadingScreen
from tui.screens.start import StartScreen
from tui.widgets.choice import Choice
from tui.widgets.field import Field

WIDE = (160, 50)


@pytest.fixture
def app(tmp_path: Path) -> FullturnApp:
    """Return the app on a folder that does not exist yet."""
    return front(tmp_path / "sessions")


async def at_form(pilot: Pilot[None]) -> NewSessionScreen:
    """Open the form."""
    await settled(pilot)
    await pilot.press("n")
    await pilot.pause()
    assert isinstance(pilot.app.screen, NewSessionScreen)
    return pilot.app.screen


def field(screen: NewSessionScreen, name: str) -> Field:
    """Return a field of the form."""
    return next(each for each in screen.query(Field) if each.field == name)


def test_the_page_has_every_field_of_the_form_in_its_order() -> None:
    assert tuple(line.name for line in lines()) == FIELDS


async def test_the_form_as_it_comes_begins_a_session(app: FullturnApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await at_form(pilot)
        assert screen.form == Form()
        assert "12 positions 30° apart, 3 runs, 39 cells, about 0.9 h" in painted(app)
        assert not app.folder.exists()
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert isinstance(app.screen, ReadingScreen)
        assert app.screen.session.header.design.offsets == (0, 1, 4)
        await pilot.press("escape")
        await settled(pilot)
        assert isinstance(app.screen, StartScreen)
    (path,) = app.folder.glob("*.toml")
    assert path.name == "index-table-against-index-table-12-positions.toml"


async def test_a_whole_session_planned_by_keys_alone(app: FullturnApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await at_form(pilot)
        await pilot.press(*"Plate", "enter", *"me", "enter")
        await pilot.press("down", "down", "right", "down", "ctrl+u", "8", "down", "ctrl+u", *"all", "down")
        await pilot.press("space", "enter", "right", "enter", "ctrl+u", "2", "enter", "left")
        for key in [*["down"] * 18, "enter"]:
            app.post_message(events.Key(key, None))
        await pilot.pause()
        await pilot.pause()
        assert isinstance(app.screen, ReadingScreen)
        header = app.screen.session.header
    assert (header.title, header.operator) == ("Plate", "me")
    design = header.design
    assert (design.arrangement, design.positions, design.offsets) == ("face by face", 8, tuple(range(8)))
    assert (design.direction, design.closing, design.repeats) == ("forward and return", False, 2)
    assert design.drift == "linear"


async def test_fast_keys_stay_in_the_field_they_were_typed_in(app: FullturnApp) -> None:
    """A burst, as from a paste by a terminal that knows no bracketed paste (trap seen in trials)."""
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await at_form(pilot)
        for key in [*"Plate7", "enter", *"somebody", "down", "down", "down", "down"]:
            app.post_message(events.Key(key, key if len(key) == 1 else None))
        await pilot.pause()
        await pilot.pause()
        assert (screen.form.title, screen.form.operator) == ("Plate7", "somebody")


async def test_nonsense_is_told_beside_its_field_once_it_is_left(app: FullturnApp) -> None:
    async with app.run_test(size=WIDE) as pilot:
        screen = await at_form(pilot)
        await put(pilot, "positions", "1x")
        assert "whole number" not in painted(app)
        assert "The plan is not right yet." in painted(app)
        await pilot.press("down")
        await pilot.pause()
        row = next(line for line in painted(app).splitlines() if " 1x " in line)
        assert "! whole number, 2 to 1440" in row
        await put(pilot, "positions", "16")
        assert "whole number" not in painted(app)
        assert field(screen, "positions").wrong == ""


async def test_beginning_goes_to_the_first_field_that_is_wrong(app: FullturnApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await at_form(pilot)
        await put(pilot, "upper-tolerance", "wide")
        await put(pilot, "offsets", "0 12")
        await put(pilot, "resolution", "0")
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert app.screen is screen
        assert app.focused is field(screen, "offsets").control
        assert [each.field for each in screen.query(Field) if each.wrong] == [
            "offsets",
            "upper_tolerance",
            "resolution",
        ]
        assert not app.folder.exists()


async def test_offsets_that_cannot_determine_the_circles_are_told_in_words(app: FullturnApp) -> None:
    async with app.run_test(size=WIDE) as pilot:
        await at_form(pilot)
        await put(pilot, "offsets", "0, 6")
        assert "! Offsets 0 and 6 share a factor with 12" in painted(app)
        await put(pilot, "offsets", "0, 6, 1")
        assert "share a factor" not in painted(app)


async def test_a_single_closure_hides_what_does_not_apply(app: FullturnApp) -> None:
    async with app.run_test(size=WIDE) as pilot:
        screen = await at_form(pilot)
        assert "Upper circle" in painted(app)
        field(screen, "closure").query_one(Choice).value = "single"
        await pilot.pause()
        seen = painted(app)
        assert "Upper circle" not in seen
        assert "Offsets" not in seen
        assert " Runs " in seen
        assert "3 runs, 36 cells" in seen


async def test_choices_by_mouse(app: FullturnApp) -> None:
    async with app.run_test(size=WIDE) as pilot:
        screen = await at_form(pilot)
        choice = field(screen, "reading").query_one(Choice)
        row = next(line for line in painted(app).splitlines() if "rezeroed" in line)
        await pilot.click(offset=(row.index("rezeroed"), choice.region.y))
        assert choice.value == "interval"
        await pilot.click(offset=(row.index("position,"), choice.region.y))
        assert choice.value == "position"


@pytest.mark.parametrize("width", [20, 30, 58])
async def test_a_narrow_choice_wraps_and_still_takes_the_mouse(width: int) -> None:
    options = {"a": "index table", "b": "polygon", "c": "rotary table", "d": "encoder"}

    class Narrow(App[None]):
        def compose(self) -> ComposeResult:
            yield Choice(options, "a")

    narrow = Narrow()
    async with narrow.run_test(size=(width, 8)) as pilot:
        await pilot.pause()
        for value, words in options.items():
            rows = painted(narrow).splitlines()
            y = next(number for number, row in enumerate(rows) if words in row)
            await pilot.click(offset=(rows[y].index(words), y))
            assert narrow.query_one(Choice).value == value


async def test_an_existing_file_is_never_overwritten(app: FullturnApp) -> None:
    async with app.run_test(size=WIDE) as pilot:
        await at_form(pilot)
        await put(pilot, "title", "Plate 7")
        app.folder.mkdir()
        (app.folder / "plate-7.toml").write_text("mine", encoding="utf-8")
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert isinstance(app.screen, ReadingScreen)
        assert app.screen.session.path.name == "plate-7-2.toml"
    assert (app.folder / "plate-7.toml").read_text(encoding="utf-8") == "mine"


async def test_a_folder_that_cannot_be_written_keeps_the_form(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    app = front(tmp_path / "file" / "folder")
    async with app.run_test(size=WIDE) as pilot:
        screen = await at_form(pilot)
        await put(pilot, "title", "Plate 7")
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert app.screen is screen
        assert screen.form.title == "Plate 7"
        assert list(app._notifications)


async def test_leaving_asks_only_if_something_was_typed(app: FullturnApp) -> None:
    async with app.run_test(size=WIDE) as pilot:
        await at_form(pilot)
        await pilot.press("escape")
        assert isinstance(app.screen, StartScreen)
        screen = await at_form(pilot)
        await pilot.press("x", "escape")
        assert isinstance(app.screen, Confirm)
        await pilot.press("escape")
        assert app.screen is screen
        assert screen.query_one("#field-title Input", Input).value == "x"
        await pilot.press("escape", "l")
        await pilot.pause()
        assert isinstance(app.screen, StartScreen)
        assert not app.folder.exists()


async def test_the_cautions_stand_before_the_button(app: FullturnApp) -> None:
    async with app.run_test(size=(160, 60)) as pilot:
        await at_form(pilot)
        seen = painted(app)
        for words in ("mains voltage", "laser", "heavy", "teeth engaged", "makers' instructions"):
            assert seen.index(words) < seen.rindex("Begin the session", 0, seen.index("Esc"))


async def test_the_decimal_comma_is_a_point(app: FullturnApp) -> None:
    async with app.run_test(size=WIDE) as pilot:
        await at_form(pilot)
        for name in ("resolution", "lower-tolerance"):
            await put(pilot, name, "0,25")
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert isinstance(app.screen, ReadingScreen)
        path = app.screen.session.path
    with Session.read(path) as session:
        assert session.header.instrument.resolution == 0.25
        assert session.header.lower.tolerance == 0.25


async def test_what_is_typed_on_a_choice_changes_it_only_by_the_beginning_of_its_words(
    tmp_path: Path,
) -> None:
    app = front(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        await settled(pilot)
        app.push_screen(NewSessionScreen(tmp_path))
        await pilot.pause()
        kind = field(app.screen, "lower_kind")
        kind.control.focus()
        await pilot.pause()
        before = kind.value
        for stray in ("12 3", "hexagon", "HT 04 rotary"):
            for character in stray:
                app.post_message(events.Key("space" if character == " " else character, character))
            await pilot.pause()
            assert kind.value == before
            assert f"no “{stray.lower()}” here" in painted(app)
            await pilot.press("backspace")
            assert "here: choose" not in painted(app)
        await pilot.press("r", "o")
        assert kind.value == "rotary table"
        await pilot.press("backspace", "p", "o", "l", "x")
        assert kind.value == "polygon"
        assert "no “polx” here" in painted(app)
        await pilot.press("left")
        assert kind.value == "index table"
        assert "here: choose" not in painted(app)


async def test_editing_keys_keep_their_place_among_fast_letters(tmp_path: Path) -> None:
    """A trap seen in trials: letters went one way and Backspace another, and overtook each other."""
    app = front(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await pilot.press("n")
        await settled(pilot)
        for key in ("a", "b", "c", "backspace", "backspace", "x", "left", "y", "tab", "q", "w", "tab"):
            app.post_message(events.Key(key, key if len(key) == 1 else None))
        await pilot.pause()
        await pilot.pause()
        values = {field.field: field.value for field in app.screen.query(Field)}
        assert (values["title"], values["operator"]) == ("ayx", "qw")


async def test_a_second_session_is_filled_in_as_the_first_was_planned(tmp_path: Path) -> None:
    plan = certified_header(8, offsets=(0, 1, 3), repeats=2)
    Session.create(tmp_path / "first.toml", plan).close()
    app = front(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        form = await at_form(pilot)
        await pilot.press("tab", *"M. E.", "f7")
        await settled(pilot)
        # What was typed stays.
        assert form.form == replace(form_from(plan), operator="M. E.")
        made = check(form.form, NOW).header
        assert made is not None
        assert replace(made, title=plan.title, operator=plan.operator, created=plan.created) == plan


@pytest.mark.parametrize(
    "plan",
    [
        certified_header(6, closure="single", reading="interval", offsets=(0, 0, 0), closing=False),
        certified_header(12, direction="forward and return", drift="linear"),
        certified_header(9, reading="interval", offsets=(0, 1), closing=False),
    ],
)
def test_the_form_of_a_plan_makes_that_plan(plan: Header) -> None:
    made = check(form_from(plan), NOW).header
    assert made is not None
    assert replace(made, title=plan.title, created=plan.created) == plan
