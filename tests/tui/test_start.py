"""The start screen: what it lists, where its keys lead."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from textual.widgets import Input

from sessions.session import Session
from solver.refused import Refused
from tests.tui.front import NOW, begin, front, painted, settled, until
from tui.app import FullturnApp
from tui.screens.ask import AskText, Confirm
from tui.screens.compare import CompareScreen
from tui.screens.help import HelpScreen
from tui.screens.new_session import NewSessionScreen
from tui.screens.paths import FolderSuggester
from tui.screens.reading import ReadingScreen
from tui.screens.start import StartScreen
from tui.since import since
from tui.theme import DARK, LIGHT
from tui.widgets.session_list import SessionList


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Return a folder with two sessions and a file that is none."""
    begin(tmp_path / "old.toml", "Plate 3", NOW - timedelta(days=20), cells=39)
    begin(tmp_path / "new.toml", "Plate 7", NOW - timedelta(days=1), cells=31)
    (tmp_path / "odd.toml").write_text("x = 1\n", encoding="utf-8")
    return tmp_path


async def test_an_empty_folder_greets_with_what_to_do(tmp_path: Path) -> None:
    app = front(tmp_path / "none yet")
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        seen = painted(app)
        assert "No sessions here yet" in seen
        assert "Press d" in seen
        assert "Resume" not in seen
        assert not (tmp_path / "none yet").exists()


async def test_sessions_are_listed_newest_first_and_what_is_none_last(folder: Path) -> None:
    app = front(folder)
    async with app.run_test(size=(100, 30)) as pilot:
        await settled(pilot)
        lines = painted(app).splitlines()
        rows = [line for line in lines if "cells" in line or "cannot be opened" in line]
        assert [row.split()[0:3] for row in rows] == [
            ["▸", "Plate", "7"],
            ["Plate", "3", "39"],
            ["!", "cannot", "be"],
        ]
        assert "31 of 39 cells" in rows[0]
        assert "odd.toml" in rows[2]
        second = lines[lines.index(rows[0]) + 1]
        assert "new.toml  HT-04 against HT-11" in second
        assert "yesterday 09:00, 3 Mar 2026" in second


async def test_resuming_is_offered_once_there_is_a_session_that_opens(tmp_path: Path) -> None:
    (tmp_path / "odd.toml").write_text("x = 1\n", encoding="utf-8")
    app = front(tmp_path)
    async with app.run_test(size=(100, 30)) as pilot:
        await settled(pilot)
        assert "Resume" not in painted(app)
        await pilot.press("d")
        await pilot.pause()
        await pilot.press("escape")
        await settled(pilot)
        assert "Resume" in painted(app)
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(app.screen, ReadingScreen)


async def test_the_pointer_moves_with_the_arrow_keys_and_enter_resumes(folder: Path) -> None:
    app = front(folder)
    async with app.run_test(size=(100, 30)) as pilot:
        await settled(pilot)
        await pilot.press("down")
        assert "▸ Plate 3" in painted(app)
        assert "▸ Plate 7" not in painted(app)
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(app.screen, ReadingScreen)
        assert app.screen.session.path == folder / "old.toml"


async def test_the_mouse_resumes(folder: Path) -> None:
    app = front(folder)
    async with app.run_test(size=(100, 30)) as pilot:
        await settled(pilot)
        await pilot.click(SessionList, offset=(5, 2))
        await pilot.pause()
        assert isinstance(app.screen, ReadingScreen)
        assert app.screen.session.path == folder / "old.toml"


async def test_what_was_done_shows_when_one_comes_back(folder: Path) -> None:
    app = front(folder)
    async with app.run_test(size=(120, 36)) as pilot:
        await settled(pilot)
        await pilot.press("enter")
        await pilot.pause()
        await pilot.press("1", "enter", "escape")
        await settled(pilot)
        assert isinstance(app.screen, StartScreen)
        assert "32 of 39 cells" in await until(pilot, "32 of 39")
        assert app.screen.query_one(SessionList).chosen == folder / "new.toml"


async def test_a_session_that_has_gone_is_refused_aloud(folder: Path) -> None:
    app = front(folder)
    async with app.run_test(size=(100, 30)) as pilot:
        await settled(pilot)
        (folder / "new.toml").unlink()
        await pilot.press("enter")
        assert isinstance(app.screen, StartScreen)
        assert "new.toml" in next(iter(app._notifications)).message
        await settled(pilot)
        assert "Plate 7" not in painted(app).splitlines()[7]


async def test_d_opens_a_copy_of_the_demo(tmp_path: Path) -> None:
    app = front(tmp_path / "sessions")
    async with app.run_test(size=(120, 36)) as pilot:
        await settled(pilot)
        await pilot.press("d")
        await pilot.pause()
        assert isinstance(app.screen, ReadingScreen)
        assert app.screen.session.path == tmp_path / "sessions" / "demo.toml"


async def test_a_demo_that_cannot_be_copied_is_refused_aloud(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    app = front(tmp_path / "file")
    async with app.run_test() as pilot:
        await settled(pilot)
        await pilot.press("d")
        assert isinstance(app.screen, StartScreen)
        assert any("cannot be copied" in each.message for each in app._notifications)


async def test_another_folder(folder: Path, tmp_path: Path) -> None:
    other = tmp_path / "other place"
    begin(other / "third.toml", "Plate 9", NOW)
    app = front(folder)
    async with app.run_test(size=(100, 30)) as pilot:
        await settled(pilot)
        await pilot.press("o")
        line = app.screen.query_one(Input)
        line.value = str(tmp_path / "nowhere")
        await pilot.press("enter")
        assert isinstance(app.screen, AskText)
        assert "There is no such folder" in painted(app)
        line.value = ""
        line.insert_text_at_cursor(str(tmp_path / "oth"))
        await pilot.pause()
        await pilot.press("tab", "enter")
        await settled(pilot)
        assert isinstance(app.screen, StartScreen)
        assert "Plate 9" in painted(app)
        assert "Plate 7" not in painted(app)
        await pilot.press("o", "escape")
        assert app.folder == other


async def test_folders_are_completed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "Sessions 2026").mkdir()
    (tmp_path / "Sessions.toml").touch()
    (tmp_path / ".hidden").mkdir()
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv("USERPROFILE", str(tmp_path))
    complete = FolderSuggester().get_suggestion
    assert (await complete("~/S") or "").rstrip("\\/") == "~/Sessions 2026"
    assert (await complete("~/") or "").rstrip("\\/") == "~/Sessions 2026"
    assert (await complete("~/.h") or "").rstrip("\\/") == "~/.hidden"
    assert await complete("~/nothing") is None
    assert await complete("~nobody-of-that-name/x") is None
    assert await complete("relative") is None


async def test_help_names_every_key_of_the_footer(folder: Path) -> None:
    app = front(folder)
    async with app.run_test(size=(100, 40)) as pilot:
        await settled(pilot)
        shown = {
            active.binding.description
            for active in app.screen.active_bindings.values()
            if active.binding.show and active.binding.description
        }
        await pilot.press("h")
        assert isinstance(app.screen, HelpScreen)
        seen = painted(app)
        assert {"Resume", "New", "Plan", "Demo", "Practice", "Compare", "Folder", "Quit", "Help"} <= shown
        assert all(f" {words}" in seen for words in shown)
        await pilot.press("f1")
        await pilot.pause()
        assert isinstance(app.screen, StartScreen)


@pytest.mark.parametrize("key", ["q", "ctrl+q"])
async def test_quitting_asks_nothing(folder: Path, key: str) -> None:
    app = front(folder)
    async with app.run_test() as pilot:
        await settled(pilot)
        await pilot.press(key)
        await pilot.pause()
    assert app.return_code == 0
    assert app.refused is None


async def test_light_and_dark(folder: Path) -> None:
    app = front(folder)
    async with app.run_test() as pilot:
        assert app.theme == DARK.name
        await pilot.press("ctrl+t")
        assert app.theme == LIGHT.name
        await pilot.press("ctrl+t")
        assert app.theme == DARK.name


async def test_a_session_that_cannot_be_opened_ends_the_app_with_the_reason(folder: Path) -> None:
    app = front(folder, folder / "odd.toml")
    async with app.run_test() as pilot:
        await pilot.pause()
    assert isinstance(app.refused, Refused)
    assert "odd.toml" in str(app.refused)


async def test_leaving_the_session_of_the_command_line_leads_to_the_list(folder: Path) -> None:
    app = front(folder, folder / "old.toml")
    async with app.run_test(size=(120, 36)) as pilot:
        await pilot.pause()
        assert isinstance(app.screen, ReadingScreen)
        await pilot.press("escape")
        await settled(pilot)
        assert "Plate 7" in await until(pilot, "Plate 7")


async def test_a_fault_leaves_the_screen_and_is_kept(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("platformdirs.user_log_path", lambda *_, **__: tmp_path / "log")
    monkeypatch.setattr(FullturnApp, "action_light", lambda self: 1 / 0)
    app = front(folder)
    with pytest.raises(ZeroDivisionError):  # which the test's own harness raises again
        async with app.run_test() as pilot:
            await pilot.press("ctrl+t")
    assert "ZeroDivisionError" in str(app.refused)
    assert not app._exit_renderables
    assert "action_light" in (tmp_path / "log" / "faults.txt").read_text(encoding="utf-8")


async def test_plain_ascii_signs_only(tmp_path: Path) -> None:
    for number in range(12):
        begin(
            tmp_path / f"{number}.toml", f"A title of many words that goes on and on, {number}", NOW, cells=3
        )
    (tmp_path / "odd.toml").write_text("x = 1\n", encoding="utf-8")
    app = front(tmp_path, ascii_only=True)
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        for keys, screen in (
            ((), StartScreen),
            (("f1",), HelpScreen),
            (("escape", "o"), AskText),
            (("escape", "n"), NewSessionScreen),
            (("f1",), HelpScreen),
            (("escape", "x", "down", "escape"), Confirm),
        ):
            await pilot.press(*keys)
            await pilot.pause()
            assert isinstance(app.screen, screen)
            assert painted(app).isascii(), [line for line in painted(app).splitlines() if not line.isascii()]


@pytest.mark.parametrize(
    ("hours", "words"),
    [
        (1, "today 08:00, 4 Mar 2026"),
        (10, "yesterday 23:00, 3 Mar 2026"),
        (24 * 3, "3 days ago, 1 Mar 2026"),
        (24 * 20, "2 weeks ago, 12 Feb 2026"),
        (24 * 100, "3 months ago, 24 Nov 2025"),
        (24 * 800, "2 years ago, 25 Dec 2023"),
        (-48, "6 Mar 2026"),
    ],
)
def test_moments_in_words(hours: int, words: str) -> None:
    assert since(NOW - timedelta(hours=hours), NOW) == words


def test_yesterday_is_told_by_the_local_clock() -> None:
    from datetime import timezone

    east = timezone(timedelta(hours=10))
    now = datetime(2026, 3, 4, 1, 0, tzinfo=east)
    assert since(datetime(2026, 3, 3, 14, 30, tzinfo=UTC), now) == "today 00:30, 4 Mar 2026"


async def test_a_session_begun_by_mistake_is_set_aside_after_a_question(folder: Path) -> None:
    before = (folder / "new.toml").read_bytes()
    app = front(folder)
    async with app.run_test(size=(100, 30)) as pilot:
        await settled(pilot)
        await pilot.press("s", "escape")
        await settled(pilot)
        assert (folder / "new.toml").exists()
        await pilot.press("s")
        await pilot.pause()
        assert "new.toml with its 31 readings" in painted(app)
        await pilot.press("y")
        await settled(pilot)
        assert not (folder / "new.toml").exists()
        assert (folder / "set aside" / "new.toml").read_bytes() == before
        assert "Plate 3" in await until(pilot, "▸ Plate 3")
        assert "Plate 7" not in painted(app)


async def test_a_session_open_elsewhere_is_not_set_aside(folder: Path) -> None:
    app = front(folder)
    with Session.open(folder / "new.toml"):
        async with app.run_test(size=(100, 30)) as pilot:
            await settled(pilot)
            await pilot.press("s", "y")
            await settled(pilot)
            assert any("has it open" in each.message for each in app._notifications)
            assert "Plate 7" in painted(app)
            assert (folder / "new.toml").exists()


@pytest.mark.parametrize("width", [80, 120])
async def test_every_way_to_go_on_stands_in_the_footer(folder: Path, width: int) -> None:
    app = front(folder)
    async with app.run_test(size=(width, 24)) as pilot:
        await settled(pilot)
        footer = painted(app).splitlines()[-1]
        for offered in ("Resume", "New", "Plan", "Demo", "Practice", "Compare", "Folder", "Quit", "F1 Help"):
            assert offered in footer


async def test_two_sessions_are_compared_by_c_on_the_earlier_and_c_on_the_later(folder: Path) -> None:
    app = front(folder)
    async with app.run_test(size=(100, 30)) as pilot:
        await settled(pilot)
        await pilot.press("down", "c")
        await pilot.press("up", "c")
        await pilot.pause()
        assert isinstance(app.screen, CompareScreen)
        assert [path.name for path in app.screen.paths] == ["old.toml", "new.toml"]


async def test_a_comparison_is_given_up_by_escape_and_by_going_elsewhere(folder: Path) -> None:
    app = front(folder)
    async with app.run_test(size=(100, 30)) as pilot:
        await settled(pilot)
        for keys in (("escape",), ("c",), ("n", "escape")):
            await pilot.press("c")
            assert "Comparing from" in painted(app)
            await pilot.press(*keys)
            assert "Comparing from" not in await until(pilot, "Sessions in")
        await pilot.press("down", "c")
        assert "Comparing from" in painted(app)
