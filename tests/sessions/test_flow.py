"""Where the bench goes when something is struck."""

from __future__ import annotations

from pathlib import Path

import pytest

from sessions.bench import Place
from sessions.bench_place import ELSEWHERE, LOOK
from sessions.design import Design
from sessions.flow import Flow
from sessions.header import Header
from sessions.session import Session
from solver.refused import Refused

DESIGN = Design(3, (0, 1), closing=False, repeats=2)
INTERVALS = Design(3, (0, 1), reading="interval", closing=False, repeats=2)


def flow(path: Path, readings: int, design: Design = DESIGN) -> Flow:
    """Begin a session and take some of its twelve readings."""
    found = Flow(Session.create(path, Header(design=design)))
    for value in range(readings):
        found.enter(str(value))
    return found


def again(bench: Flow) -> Flow:
    """Leave a session and open it again."""
    bench.session.close()
    return Flow(Session.open(bench.session.path))


def test_an_interval_struck_after_all_was_read_is_where_the_bench_goes(tmp_path: Path) -> None:
    bench = flow(tmp_path / "a.toml", 12, INTERVALS)
    assert bench.next is None
    bench.strike(3, "typing slip")
    assert bench.place == bench.next == Place(0, 2)
    bench.enter("2")
    assert bench.next is None


def test_a_position_whose_zero_is_gone_is_left_out_and_said(tmp_path: Path) -> None:
    bench = flow(tmp_path / "a.toml", 12)
    bench.strike(3, "typing slip")
    assert (bench.next, bench.remaining(), bench.lacking()) == (None, 0, 1)
    assert bench.instruction().set_to == "All is read but 1 reading"
    assert bench.instruction().where == "run 0 step 1: the zero is gone"
    bench.strike_run(0, "to be read again")
    assert bench.place == bench.next == Place(0, 0)
    assert bench.instruction().first.startswith("New run.")


def test_a_run_about_to_be_left_says_what_it_lacks(tmp_path: Path) -> None:
    bench = flow(tmp_path / "a.toml", 6)
    assert bench.instruction().first.startswith("New run.")
    bench.strike(2, "typing slip")
    assert bench.place == Place(1, 0)
    assert bench.instruction().first.startswith("Run 0 step 0: now or never. New run.")
    bench.move(0, 0)
    bench.enter("0")
    assert bench.place == Place(1, 0)
    assert bench.instruction().first.startswith("New run.")


def test_the_zero_that_is_gone_is_said_where_one_goes_to_read(tmp_path: Path) -> None:
    bench = flow(tmp_path / "a.toml", 8)
    bench.strike(2, "typing slip")
    bench.move(0, 0)
    assert "zero of this run is gone" in bench.instruction().first


def test_a_session_opened_again_goes_on_as_it_was_left(tmp_path: Path) -> None:
    bench = flow(tmp_path / "a.toml", 9)
    bench.strike(1, "disturbed")
    bench.session.strike(9, "retyped as suggested: sign")
    bench.session.take(1, 1, -8.0)
    for opened in (bench, again(bench)):
        opened.header_changed()
        assert (opened.at, opened.next) == (Place(1, 1), Place(1, 1))
        assert opened.instruction().first != ELSEWHERE


def test_a_value_put_right_elsewhere_does_not_lead_the_bench_away(tmp_path: Path) -> None:
    bench = flow(tmp_path / "a.toml", 9)
    bench.session.strike(1, "retyped as suggested: sign")
    bench.session.take(0, 0, 0.0)
    opened = again(bench)
    assert (opened.at, opened.place) == (Place(1, 1), Place(1, 1))
    assert opened.instruction().first == LOOK


def test_a_run_struck_half_way_begins_anew_also_when_opened_again(tmp_path: Path) -> None:
    bench = flow(tmp_path / "a.toml", 9)
    bench.strike_run(1, "wrong tooth")
    assert bench.place == bench.next == Place(1, 0)
    opened = again(bench)
    assert opened.place == opened.next == Place(1, 0)
    opened.restore_run(1)
    assert opened.next == Place(1, 1)


def test_a_run_struck_elsewhere_leaves_the_bench_in_its_run(tmp_path: Path) -> None:
    bench = flow(tmp_path / "a.toml", 9)
    bench.move(0, 1)
    bench.strike_run(0, "wrong tooth")
    assert (bench.at, bench.next, bench.place) == (Place(1, 1), Place(1, 1), Place(0, 1))
    assert again(bench).place == Place(1, 1)


def test_while_the_bench_works_a_strike_elsewhere_does_not_move_it(tmp_path: Path) -> None:
    bench = flow(tmp_path / "a.toml", 8)
    here = bench.place
    bench.strike(1, "typing slip")
    assert bench.place == here


def test_one_reading_too_many_struck_opens_nothing(tmp_path: Path) -> None:
    bench = flow(tmp_path / "a.toml", 12)
    bench.move(0, 0)
    bench.enter("7")
    here = bench.place
    bench.strike(1, "typing slip")
    assert (bench.next, bench.place) == (None, here)


def test_all_readings_of_the_cell_read_last_are_struck_and_read_again(tmp_path: Path) -> None:
    bench = flow(tmp_path / "a.toml", 4)
    bench.strike_all((3, 4), "wrong position set")
    assert bench.place == bench.next == Place(0, 1)
    assert list(bench.session.matrix.count[0]) == [2, 0, 0]
    bench.restore(3, 4)
    assert bench.next == Place(0, 2)


def test_what_was_struck_before_one_that_cannot_be_stays_struck(tmp_path: Path) -> None:
    bench = flow(tmp_path / "a.toml", 4)
    bench.strike(4, "typing slip")
    with pytest.raises(Refused, match="struck already"):
        bench.strike_all((3, 4), "wrong position set")
    assert bench.session.matrix.struck == 2
    assert bench.next == Place(0, 1)


def test_a_reading_added_to_a_run_whose_zero_is_gone_does_not_move_the_bench(tmp_path: Path) -> None:
    bench = flow(tmp_path / "a.toml", 9)
    for step in (0, 1):
        bench.move(0, step)
        bench.enter("5")
    assert (bench.at, bench.next) == (Place(1, 1), Place(1, 1))
    assert (again(bench).at, again(bench).place) == (Place(1, 1), Place(1, 1))


def test_a_reading_taken_back_leaves_the_bench_where_it_was(tmp_path: Path) -> None:
    bench = flow(tmp_path / "a.toml", 7)
    bench.undo()
    assert (bench.at, bench.place) == (Place(0, 2), Place(1, 0))
    bench.enter("6")
    bench.enter("7")
    bench.undo()
    opened = again(bench)
    assert (opened.at, opened.place) == (Place(1, 0), Place(1, 0))
    assert opened.instruction().first == LOOK


def test_taking_back_a_value_put_right_brings_back_what_was_typed(tmp_path: Path) -> None:
    bench = flow(tmp_path / "a.toml", 9)
    bench.session.strike(9, "retyped as suggested: sign")
    bench.session.take(1, 1, -8.0)
    assert bench.undo() == 9
    assert [each.value for each in bench.session.matrix.readings(1, 1) if each.counts] == [8.0]
    assert bench.place == Place(1, 1)


def test_a_run_is_restored_as_it_was_struck(tmp_path: Path) -> None:
    """A slip that was struck alone before, with the reason that the run was struck for, stays struck."""
    bench = flow(tmp_path / "a.toml", 6)
    bench.strike(2, "typing slip")
    bench.session.note("then the door opened")
    bench.strike_run(0, "typing slip")
    assert bench.restore_run(0) == 5
    assert [each.number for each in bench.readings_of(0) if not each.counts] == [2]


def test_where_several_cells_lack_readings_they_are_counted(tmp_path: Path) -> None:
    bench = flow(tmp_path / "a.toml", 6)
    bench.strike(1, "not seated")
    bench.strike(4, "not seated")
    assert bench.instruction().first.startswith("Run 0 steps 0, 1: now or never.")
