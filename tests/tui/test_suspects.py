"""Suspects on the screen: marked, said, explained, and dealt with by one key."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from textual import events
from textual.pilot import Pilot
from textual.widgets import OptionList

from sessions.demo import copy_demo
from sessions.design import Design
from solver.flags import Flag
from tests.tui.front import painted
from tests.tui.test_reading import at_bench, begin, said, send, settled
from tui.screens.ask import Confirm
from tui.screens.cell import CellScreen
from tui.screens.suspects import NOT_HERE, SuspectsScreen
from tui.suspicion import Suspicion
from tui.widgets.bench import MessageLine
from tui.widgets.marks import Tone


@pytest.fixture
def demo(tmp_path: Path) -> Path:
    return copy_demo(tmp_path)


async def test_the_demos_bad_readings_are_marked_and_said(demo: Path) -> None:
    async with at_bench(demo) as pilot:
        screen = await settled(pilot)
        assert {(flag.run, flag.step) for flag in screen.suspicion.flags} == {(1, 9), (2, 5)}
        assert set(screen.suspicion.tones.values()) <= {Tone.SUSPECT, Tone.STRONG_SUSPECT}
        assert "run 1 step 9" in said(pilot)


async def test_a_sign_forgotten_is_said_at_the_keystroke_and_put_right_by_one_key(demo: Path) -> None:
    async with at_bench(demo, (80, 24)) as pilot:
        await settled(pilot)
        send(pilot, "3.52\n-3.51\n")
        screen = await settled(pilot)
        assert "−3.51 typed" in said(pilot)
        assert "fits with the sign changed" in said(pilot)
        assert screen.suspicion.tones[3, 7] is Tone.STRONG_SUSPECT
        await pilot.press("a")
        await settled(pilot)
        readings = screen.session.matrix.readings(3, 7)
        assert [(reading.value, reading.counts) for reading in readings] == [
            (3.52, True),
            (-3.51, False),
            (3.51, True),
        ]
        assert (3, 7) not in screen.suspicion.tones
        assert (screen.flow.place.run, screen.flow.place.step) == (3, 8)


async def test_a_suspect_cell_of_several_readings_says_how_many_they_are(demo: Path) -> None:
    async with at_bench(demo, (80, 24)) as pilot:
        await settled(pilot)
        seen = painted(pilot.app)
        assert "‼+8.36²" in seen
        assert "‼+7.54²" in seen


async def test_kept_with_a_reason_leaves_the_list(demo: Path) -> None:
    async with at_bench(demo) as pilot:
        screen = await settled(pilot)
        await pilot.press("j")
        await pilot.pause()
        assert (screen.flow.place.run, screen.flow.place.step) == (1, 9)
        await pilot.press("k")
        await pilot.pause()
        await pilot.press("1", "enter")
        await settled(pilot)
        assert (1, 9) not in screen.suspicion.tones
        assert any(reading.status == "kept" for reading in screen.session.matrix.readings(1, 9))


async def test_the_list_previews_and_strikes(demo: Path) -> None:
    async with at_bench(demo) as pilot:
        screen = await settled(pilot)
        await pilot.press("x")
        await pilot.pause()
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        assert isinstance(pilot.app.screen, SuspectsScreen)
        preview = str(pilot.app.screen.query_one(".preview").visual)
        assert "residual s" in preview
        assert "Largest change" in preview
        await pilot.press("s")
        await pilot.pause()
        await pilot.press(*"slip", "enter")
        await settled(pilot)
        assert (1, 9) not in screen.suspicion.tones
        struck = [reading for reading in screen.session.matrix.readings(1, 9) if not reading.counts]
        assert [reading.value for reading in struck] == [8.15]


async def test_a_cell_read_at_a_wrong_setting_is_struck_as_a_whole(demo: Path) -> None:
    """Run 2 step 5 of the demo: its two readings agree, and the other cells bear neither out."""
    async with at_bench(demo) as pilot:
        screen = await settled(pilot)
        await pilot.press("x", "down")
        await settled(pilot)
        preview = str(pilot.app.screen.query_one(".preview").visual)
        assert preview.startswith("If its 2 readings were struck: residual s")
        await pilot.press("s")
        await pilot.pause()
        await pilot.press("enter")
        await pilot.pause()
        await pilot.press("3", "enter")
        await settled(pilot)
        readings = screen.session.matrix.readings(2, 5)
        assert [(each.status, each.reason) for each in readings] == [("struck", "wrong position set")] * 2
        assert (2, 5) not in screen.suspicion.tones


async def listed(pilot: Pilot[None]) -> SuspectsScreen:
    """Open the list of suspects."""
    await settled(pilot)
    await pilot.press("x")
    await settled(pilot)
    screen = pilot.app.screen
    assert isinstance(screen, SuspectsScreen)
    return screen


def said_in(screen: SuspectsScreen) -> str:
    return str(screen.query_one(MessageLine).visual)


@pytest.mark.parametrize("typed", ["3", "-", ".", ",", "3.52\n", "3.52\n\n-1\n"])
async def test_a_reading_typed_into_the_list_is_refused_and_enter_leads_nowhere(
    demo: Path, typed: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    rung = []
    async with at_bench(demo) as pilot:
        screen = await settled(pilot)
        place, recorded = screen.flow.place, screen.session.recorded
        found = await listed(pilot)
        monkeypatch.setattr(pilot.app, "bell", lambda: rung.append(1))
        send(pilot, typed)
        await settled(pilot)
        assert pilot.app.screen is found
        assert said_in(found) == f"! {NOT_HERE}"
        assert rung
        await pilot.press("enter", "escape")
        await settled(pilot)
        assert pilot.app.screen is screen
        assert (screen.flow.place, screen.session.recorded, screen.line.text) == (place, recorded, "")


async def test_enter_goes_to_a_suspect_once_the_cursor_was_moved(demo: Path) -> None:
    async with at_bench(demo) as pilot:
        screen = await settled(pilot)
        await listed(pilot)
        await pilot.press("3", "down", "enter")
        await settled(pilot)
        assert pilot.app.screen is screen
        assert (screen.flow.place.run, screen.flow.place.step) == (2, 5)


async def test_a_column_pasted_into_the_list_is_refused(demo: Path) -> None:
    async with at_bench(demo) as pilot:
        found = await listed(pilot)
        pilot.app.post_message(events.Paste("1\n2\n"))
        screen = await settled(pilot)
        assert said_in(found) == f"! {NOT_HERE}"
        assert screen.session.matrix.accepted == 92


async def test_the_list_stays_open_until_no_suspect_is_left_and_the_next_escape_does_not_leave(
    demo: Path,
) -> None:
    async with at_bench(demo) as pilot:
        screen = await settled(pilot)
        found = await listed(pilot)
        await pilot.press("down", "a")
        await settled(pilot)
        assert pilot.app.screen is found
        assert "does not follow from the digits" in said_in(found)
        await pilot.press("up", "a")
        await settled(pilot)
        assert pilot.app.screen is found
        assert "is struck" in said_in(found)
        options = found.query_one(OptionList)
        assert (options.option_count, options.highlighted) == (1, 0)
        assert "run 2 step 5" in str(options.get_option_at_index(0).prompt)
        assert "residual s" in str(found.query_one(".preview").visual)
        await pilot.press("k")
        await pilot.pause()
        await pilot.press("1", "enter")
        await settled(pilot)
        assert pilot.app.screen is screen
        assert not screen.suspicion.flags
        await pilot.press("escape")
        await pilot.pause()
        assert pilot.app.screen is screen
        assert "Esc again leaves" in said(pilot)
        await pilot.press("escape")
        await pilot.pause()
        assert pilot.app.screen is not screen


async def test_after_any_other_key_escape_leaves_as_ever(demo: Path) -> None:
    async with at_bench(demo) as pilot:
        screen = await settled(pilot)
        await listed(pilot)
        for _ in range(2):
            await pilot.press("k")
            await pilot.pause()
            await pilot.press("1", "enter")
            await settled(pilot)
        assert pilot.app.screen is screen
        await pilot.press("up", "escape")
        await pilot.pause()
        assert pilot.app.screen is not screen


async def test_the_bench_is_where_it_was_after_a_suspect_was_dealt_with(demo: Path) -> None:
    async with at_bench(demo) as pilot:
        screen = await settled(pilot)
        await pilot.press("x")
        await pilot.pause()
        await pilot.press("a")
        await settled(pilot)
        assert (screen.flow.place.run, screen.flow.place.step) == (3, 7)
        await pilot.press("escape", "j", "s")
        await pilot.pause()
        await pilot.press("enter")
        await pilot.pause()
        await pilot.press("1", "enter")
        await settled(pilot)
        assert (screen.flow.next.run, screen.flow.next.step) == (3, 7) if screen.flow.next else False
        assert "zero of this run is gone" in screen.flow.instruction().first
        await pilot.press("g")
        assert screen.flow.instruction().first == ""


async def test_a_value_that_would_come_from_the_prediction_is_not_taken(demo: Path) -> None:
    async with at_bench(demo) as pilot:
        screen = await settled(pilot)
        screen.flow.move(2, 8)
        send(pilot, "3.48\n")
        await settled(pilot)
        assert screen.suspicion.at(2, 8) is not None
        accepted = screen.session.matrix.accepted
        await pilot.press("a")
        await settled(pilot)
        assert screen.session.matrix.accepted == accepted


async def test_next_suspect_goes_round(demo: Path) -> None:
    async with at_bench(demo) as pilot:
        screen = await settled(pilot)
        visited = []
        for _ in range(3):
            await pilot.press("j")
            await pilot.pause()
            visited.append((screen.flow.place.run, screen.flow.place.step))
        assert visited[0] == visited[2]
        assert set(visited) == {(1, 9), (2, 5)}


async def test_what_a_split_would_change_is_worked_out_beside_the_question(demo: Path) -> None:
    async with at_bench(demo) as pilot:
        screen = await settled(pilot)
        screen.flow.move(2, 5)
        await pilot.press("m")
        await settled(pilot)
        assert isinstance(pilot.app.screen, Confirm)
        note = str(pilot.app.screen.query_one("#note").visual)
        assert note.startswith("If run 2 had a constant of its own from step 5 on: residual s")


async def test_a_run_is_split_and_joined_again(demo: Path) -> None:
    async with at_bench(demo) as pilot:
        screen = await settled(pilot)
        screen.flow.move(2, 5)
        await pilot.press("m")
        await pilot.pause()
        await pilot.press("y")
        await settled(pilot)
        assert screen.session.matrix.splits == ((2, 5),)
        assert screen.analysis is not None
        assert screen.analysis.splits == ((2, 5),)
        screen.flow.move(2, 5)
        await pilot.press("m")
        await settled(pilot)
        assert screen.session.matrix.splits == ()


async def test_all_readings_of_a_cell_are_struck_for_one_reason_and_restored(demo: Path) -> None:
    async with at_bench(demo) as pilot:
        screen = await settled(pilot)
        screen.flow.move(0, 3)
        for keys, statuses in (
            (("s", "down", "enter", "3", "enter"), ["struck", "struck"]),
            (("r", "down", "enter"), ["accepted", "accepted"]),
        ):
            for key in keys:
                await pilot.press(key)
                await pilot.pause()
            await settled(pilot)
            readings = screen.session.matrix.readings(0, 3)
            assert [reading.status for reading in readings] == statuses
            assert {reading.reason for reading in readings} == {
                "wrong position set" if statuses[0] == "struck" else ""
            }
            assert said(pilot).startswith("2 readings of run 0 step 3 ")


async def test_a_reason_that_is_not_given_leaves_all_readings_as_they_were(demo: Path) -> None:
    async with at_bench(demo) as pilot:
        screen = await settled(pilot)
        screen.flow.move(0, 3)
        recorded = screen.session.recorded
        await pilot.press("s", "end", "enter")
        await pilot.pause()
        assert "2 readings of run 0 step 3" in str(pilot.app.screen.query_one(".question").visual)
        await pilot.press("escape")
        await settled(pilot)
        assert screen.session.recorded == recorded


@pytest.mark.parametrize(("moved", "asked"), [(False, "step 6 of run 3"), (True, "step 7 of run 1")])
async def test_a_knocked_mirror_is_asked_about_where_the_cursor_was_moved_to(
    demo: Path, moved: bool, asked: str
) -> None:
    """At the bench it is the jump that is spoken of, of the reading typed last."""
    async with at_bench(demo) as pilot:
        screen = await settled(pilot)
        last = screen.session.matrix.last
        assert last is not None
        jump = Flag(3, 6, last.number, "residual", 9.0, 4.0, strong=True, value=1.0, suggestion="jump")
        screen.suspicion = Suspicion((jump,))
        if moved:
            await pilot.press("left", "left")
        await pilot.press("m")
        await pilot.pause()
        assert isinstance(pilot.app.screen, Confirm)
        assert asked in str(pilot.app.screen.query_one(".question").visual)


async def test_a_whole_run_is_struck(demo: Path) -> None:
    async with at_bench(demo) as pilot:
        screen = await settled(pilot)
        await pilot.press("S")
        await pilot.pause()
        await pilot.press(*"wrong tooth", "enter")
        await settled(pilot)
        assert screen.session.matrix.count[3].sum() == 0
        assert (screen.flow.next.run, screen.flow.next.step) == (3, 0) if screen.flow.next else False


async def test_the_bell_rings_once_for_a_new_suspect_and_can_be_silenced(
    demo: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    rung = []
    async with at_bench(demo) as pilot:
        await settled(pilot)
        monkeypatch.setattr(pilot.app, "bell", lambda: rung.append(1))
        send(pilot, "3.52\n")
        await settled(pilot)
        assert not rung
        send(pilot, "-3.51\n")
        await settled(pilot)
        assert len(rung) == 1
        await pilot.press("a", "b")
        await settled(pilot)
        send(pilot, "53.2\n")
        await settled(pilot)
        assert len(rung) == 1


@pytest.mark.parametrize("size", [(80, 24), (120, 36)])
async def test_a_bell_that_is_off_is_seen_to_be(demo: Path, size: tuple[int, int]) -> None:
    async with at_bench(demo, size) as pilot:
        await settled(pilot)
        assert "bell off" not in painted(pilot.app)
        await pilot.press("b", "up", "tab", "tab", "tab")
        await settled(pilot)
        assert "bell off" in painted(pilot.app).splitlines()[0]
        await pilot.press("b", "down")
        await settled(pilot)
        assert "bell off" not in painted(pilot.app)


@pytest.mark.parametrize("key", ["w", "u", "c", "e", "h", "l"])
async def test_a_suspect_that_was_said_still_stands_after_another_screen(demo: Path, key: str) -> None:
    async with at_bench(demo) as pilot:
        screen = await settled(pilot)
        before = said(pilot)
        assert "run 1 step 9" in before
        await pilot.press(key)
        await pilot.pause()
        assert pilot.app.screen is not screen
        await pilot.press("escape")
        await settled(pilot)
        assert pilot.app.screen is screen
        assert said(pilot) == before


async def test_a_longer_plan_is_said(demo: Path) -> None:
    async with at_bench(demo) as pilot:
        screen = await settled(pilot)
        runs = screen.session.header.design.run_count
        await pilot.press("e")
        await settled(pilot)
        await pilot.press("enter")
        await pilot.pause()
        await pilot.press("enter")
        await settled(pilot)
        assert screen.session.header.design.run_count == runs + 1
        assert said(pilot) == f"The plan has {runs + 1} runs now."


async def test_of_a_pair_that_nothing_tells_apart_the_person_says_which_is_bad(tmp_path: Path) -> None:
    """The first cell: either reading may have the wrong sign, so no key takes the one that is suggested."""
    file = begin(tmp_path / "pair.toml", Design(6, (0, 1), repeats=2), accepted_sd=0.02)
    async with at_bench(file) as pilot:
        await settled(pilot)
        send(pilot, "-1.42\n1.42\n")
        screen = await settled(pilot)
        (flag,) = screen.suspicion.flags
        assert flag.others == (1,)
        assert "one of them bad" in said(pilot)
        await pilot.press("a")
        await settled(pilot)
        assert len(screen.session.matrix.readings(0, 0)) == 2
        await pilot.press("x")
        await pilot.pause()
        await pilot.press("s")
        await pilot.pause()
        assert isinstance(pilot.app.screen, CellScreen)
        await pilot.press("up", "enter")
        await pilot.pause()
        await pilot.press("1", "enter")
        await settled(pilot)
        first, second = screen.session.matrix.readings(0, 0)
        assert (first.counts, second.counts) == (False, True)
        assert screen.suspicion.flags == ()


async def test_a_flag_stays_while_a_larger_slip_stands_beside_it(demo: Path) -> None:
    async with at_bench(demo) as pilot:
        screen = await settled(pilot)
        send(pilot, "3.52\n-3.51\n")
        screen = await settled(pilot)
        assert {(1, 9), (3, 7)} <= screen.suspicion.tones.keys()


def test_the_next_suspect_is_another_cell_even_where_one_has_two_flags() -> None:
    def flag(run: int, step: int, entry: int) -> Flag:
        return Flag(run, step, entry, "residual", 9.0, 4.0, strong=True, value=1.0)

    flags = (flag(0, 5, 6), flag(2, 1, 9), flag(0, 5, 7), flag(1, 3, 8))
    suspicion = Suspicion(flags)
    place, seen = (0, 0), []
    for _ in range(4):
        found = suspicion.after(*place)
        assert found is not None
        place = (found.run, found.step)
        seen.append(place)
    assert seen == [(0, 5), (2, 1), (1, 3), (0, 5)]
    assert Suspicion().after(0, 0) is None


async def test_the_suspect_that_is_spoken_of_is_put_right_from_the_next_cell(demo: Path) -> None:
    async with at_bench(demo, (80, 24)) as pilot:
        await settled(pilot)
        send(pilot, "-3.52\n3.51\n")
        screen = await settled(pilot)
        assert "−3.52 typed" in said(pilot)
        await pilot.press("a")
        await settled(pilot)
        readings = screen.session.matrix.readings(3, 7)
        assert [reading.value for reading in readings if reading.counts] == [3.51, 3.52]


async def test_a_key_that_is_not_offered_says_why(tmp_path: Path) -> None:
    async with at_bench(begin(tmp_path / "clean.toml", Design(5, (0, 1, 2)))) as pilot:
        await settled(pilot)
        for key, words in (("x", "Nothing looks wrong."), ("a", "Nothing looks wrong."), ("g", "goes next")):
            await pilot.press(key)
            await pilot.pause()
            assert words in said(pilot)


async def test_a_struck_run_is_restored_as_one_and_its_slip_stays_struck(demo: Path) -> None:
    async with at_bench(demo) as pilot:
        screen = await settled(pilot)
        screen.session.strike(screen.session.matrix.readings(0, 2)[0].number, "typing slip")
        before = {r.number for step in range(13) for r in screen.session.matrix.readings(0, step) if r.counts}
        screen.flow.move(0, 0)
        for answer in (("2", "enter"), ("r",)):
            await pilot.press("S")
            await pilot.pause()
            await pilot.press(*answer)
            await settled(pilot)
        after = {r.number for step in range(13) for r in screen.session.matrix.readings(0, step) if r.counts}
        assert after == before


async def test_readings_that_scatter_as_a_whole_are_not_called_right(tmp_path: Path) -> None:
    """Noise of ten times what was accepted beforehand: no reading stands out of the others."""
    path = begin(tmp_path / "s.toml", Design(6, (0, 1, 2, 3, 4, 5), closing=False), accepted_sd=0.03)
    noise = np.random.default_rng(1).normal(0, 0.3, 36)
    async with at_bench(path) as pilot:
        send(pilot, "".join(f"{value:.2f}\n" for value in noise))
        screen = await settled(pilot)
        assert screen.suspicion.flags == ()
        await pilot.press("x")
        await pilot.pause()
        assert "contradict the accepted standard deviation of 0.03″" in said(pilot)
