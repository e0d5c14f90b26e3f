"""What the README tells happens as it tells it, with its own numbers."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest
from textual.widgets import OptionList

from sessions.demo import copy_demo
from sessions.design import Design
from sessions.entries import Reading, Strike
from sessions.session import Session
from sessions.subdivision import divided, proposed, weigh_arcs
from tests.documents.texts import README, README_LINE, section
from tests.sessions.test_analysis import LATIN, latin, session, solved
from tests.tui.test_reading import at_bench, said, send, settled
from tui.app import FullturnApp
from tui.screens.reading import ReadingScreen
from tui.screens.suspects import SuspectsScreen
from tui.widgets.bench import Prompt


async def test_the_demo_goes_as_told(tmp_path: Path) -> None:
    told = section(README, "Five minutes with the demo")
    first, second = re.findall(r"[Tt]ype\s+`([-\d.]+)`", told)
    prompt, verdict = (re.sub(r"\s+", " ", words) for words in re.findall("“([^”]*)”", told)[:2])
    async with at_bench(copy_demo(tmp_path), (160, 45)) as pilot:
        screen = await settled(pilot)
        assert prompt in str(screen.query_one(Prompt).visual)
        cell = screen.flow.place
        send(pilot, f"{first}\n")
        screen = await settled(pilot)
        assert (screen.flow.place.run, screen.flow.place.step) == (cell.run, cell.step)
        send(pilot, f"{second}\n")
        screen = await settled(pilot)
        assert verdict in said(pilot)
        await pilot.press("a")
        await settled(pilot)
        *_, struck, taken = screen.session.entries
        assert isinstance(struck, Strike)
        assert isinstance(taken, Reading)
        assert taken.value == -float(second)
        await pilot.press("x")
        await pilot.pause()
        assert isinstance(pilot.app.screen, SuspectsScreen)
        listed = pilot.app.screen.query_one(OptionList)
        words = [str(listed.get_option_at_index(index).prompt) for index in range(listed.option_count)]
        assert len(words) == 2
        assert ["digits swapped" in each for each in words].count(True) == 1


def test_the_work_of_an_arc_is_as_said() -> None:
    sentence = re.search(
        r"One arc of 30° at six offsets takes (\d+) readings; "
        r".*? offsets ([\d, and]+) the .*? ([\d.]+) to ([\d.]+) times",
        README_LINE,
    )
    assert sentence
    readings, coarse_offsets, least, most = sentence.groups()
    coarse = Design(12, tuple(map(int, re.findall(r"\d+", coarse_offsets))))
    offsets = proposed(coarse, 30)
    assert len(offsets) == 6
    weighed = [weigh_arcs(divided(coarse, 30, [at], offsets)) for at in range(12)]
    assert {arc.readings for arc in weighed} == {int(readings)}
    worst = [round(arc.worst(1.0), 1) for arc in weighed]
    assert [min(worst), max(worst)] == [float(least), float(most)]
    assert f"{360**2:,} readings in a complete closure" in README_LINE


def test_the_latin_square_is_as_said(tmp_path: Path) -> None:
    """Montgomery's rocket propellants, missing plot of Allan and Wishart 1930 (read in course copies; recomputed)."""
    sentence = re.search(
        r"effects (−?[\d.]+) … ([\d.]+) and (−?[\d.]+) … ([\d.]+), s = ([\d.]+) on 12 .*? ([\d.]+) = 11 s²",
        README_LINE,
    )
    assert sentence
    low, high, left, right, deviation, missing = (float(word.replace("−", "-")) for word in sentence.groups())
    whole = solved(session(tmp_path / "whole", LATIN, latin()))
    lower, upper = (whole["circles"][name]["position_error"] for name in ("lower", "upper"))
    assert [lower[0], lower[-1], upper[0], upper[-1]] == pytest.approx([low, high, left, right])
    assert whole["standard_deviation"] == pytest.approx(deviation, abs=5e-7)
    left_out = solved(session(tmp_path / "missing", LATIN, [each for each in latin() if each[:2] != (3, 2)]))
    assert 11 * left_out["standard_deviation"] ** 2 == pytest.approx(missing, abs=5e-5)


def test_the_session_file_shown_opens(tmp_path: Path) -> None:
    shown = README.partition("<!-- session file -->\n```toml\n")[2].partition("```")[0]
    path = tmp_path / "shown.toml"
    path.write_text(shown, encoding="utf-8")
    with Session.open(path) as opened:
        assert opened.notices == ()
        assert [entry.value for entry in opened.entries if isinstance(entry, Reading)] == [0.12]
        opened.take(0, 1, 0.15)
    with Session.read(path) as again:
        assert len(again.entries) == 2


def listed_screens() -> list[tuple[str, str, str]]:
    """Return where each screen is opened from, by which key, and what it is called."""
    found, start = [], ""
    for name, key, title in re.findall(
        r"^\| (\w*) *\| `?(\w+)`? \| ([^|]*?) *\|", section(README, "The screens"), re.M
    ):
        start = name or start
        if start != "from" and title:
            found.append((start, key.lower(), title))
    return found


@pytest.mark.parametrize(("start", "key", "title"), listed_screens())
async def test_each_key_opens_the_screen_that_is_said(
    start: str, key: str, title: str, tmp_path: Path
) -> None:
    path = copy_demo(tmp_path)
    shutil.copy(path, tmp_path / "another.toml")
    app = FullturnApp(tmp_path, path if start == "reading" else None)
    async with app.run_test(size=(120, 36)) as pilot:
        await pilot.pause()
        if start == "reading":
            await settled(pilot)
        await pilot.press(key)
        if title == "Comparison":
            await pilot.press("down", key)
        await pilot.pause()
        if title == "Reading":
            assert isinstance(app.screen, ReadingScreen)
        else:
            assert title == app.screen.TITLE
