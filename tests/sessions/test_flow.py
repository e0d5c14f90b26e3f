"""Where the bench goes when something is struck."""

from __future__ import annotations

from pathlib import Path

from sessions.bench import Place
from sessions.design import Design
from sessions.flow import Flow
from sessions.header import Header
from sessions.session import Session

DESIGN = Design(3, (0, 1), closing=False, repeats=2)


def flow(path: Path, readings: int) -> Flow:
    """Begin a session and take some of its twelve readings."""
    found = Flow(Session.create(path, Header(design=DESIGN)))
    for value in range(readings):
        found.enter(str(value))
    return found


def test_a_cell_struck_after_all_was_read_is_where_the_bench_goes(tmp_path: Path) -> None:
    bench = flow(tmp_path / "a.toml", 12)
    assert bench.next is None
    bench.strike(3, "typing slip")
    assert bench.place == bench.next == Place(0, 1)
    bench.enter("2")
    assert bench.next is None


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
