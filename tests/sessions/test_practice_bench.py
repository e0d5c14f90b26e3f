"""The practice bench: its record, what is shown and when, and the slips of the assistant."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from sessions.design import Design
from sessions.entries import Setup
from sessions.flow import Flow
from sessions.header import Header
from sessions.practice.begin import BenchClock, begin, planned, play
from sessions.practice.bench import PracticeBench
from sessions.practice.parameters import (
    USUAL_SLIPS,
    WORKSHEET,
    Parameters,
    checked,
    parameters_of,
    result_of,
)
from sessions.practice.slips import KINDS, Slips, rounded
from sessions.session import Session
from solver.refused import Refused
from tests.sessions.kit import START, Clock, QuickDisk
from tests.sessions.practice_kit import DESIGNS, SLIPS, analysed, first_slip, practised, stack_of


def test_the_file_holds_the_seed_and_not_the_truth(tmp_path: Path) -> None:
    session = practised(tmp_path, Parameters(77), full=True)
    text = session.path.read_text(encoding="utf-8")
    assert "seed = 77" in text
    stack = PracticeBench(session).stack
    for value in (*stack.lower, *stack.upper):
        assert f"{value:.4f}"[1:] not in text
    assert "simulated" in session.header.title
    entry = session.entries[0]
    assert isinstance(entry, Setup)
    assert (entry.worksheet, entry.result["verdict"]) == (WORKSHEET, "simulated")
    session.close()
    with Session.read(session.path) as again:
        assert parameters_of(again.entries) == Parameters(77)


def test_a_session_that_is_not_simulated_is_none(tmp_path: Path) -> None:
    with Session.create(tmp_path / "s.toml", Header(DESIGNS[0]), clock=Clock(), disk=QuickDisk()) as session:
        assert parameters_of(session.entries) is None
        with pytest.raises(Refused, match="not simulated"):
            PracticeBench(session)
        session.setup(WORKSHEET, {"seed": -1})
        with pytest.raises(Refused, match="entry 1"):
            parameters_of(session.entries)


@pytest.mark.parametrize(
    ("change", "where"),
    [
        ({"seed": -1}, "seed"),
        ({"seed": 2**60}, "seed"),
        ({"within": -0.1}, "within"),
        ({"errors": float("nan")}, "errors"),
        ({"slips": 1.5}, "slips"),
        ({"turbulence": 2.0}, "turbulence"),
    ],
)
def test_parameters_that_make_no_sense_are_refused(change: dict[str, float], where: str) -> None:
    with pytest.raises(Refused) as caught:
        checked(replace(Parameters(1), **change))  # type: ignore[arg-type]
    assert caught.value.where == where


def test_parameters_go_through_the_entry_whole() -> None:
    every = Parameters(9, 1.0, 0.1, 0.2, 0.3, 0.4, 5.0, 6.0, 0.7)
    entry = Setup(1, START, WORKSHEET, result_of(every))
    assert parameters_of([entry]) == every


@pytest.mark.parametrize("design", [*DESIGNS, replace(DESIGNS[0], repeats=3)])
def test_a_session_is_played_to_its_end(tmp_path: Path, design: Design) -> None:
    clock = BenchClock(design, START)
    with begin(tmp_path / "p.toml", design, Parameters(1), clock=clock, disk=QuickDisk()) as session:
        play(session, clock)
        assert session.matrix.accepted == design.planned_cells * design.repeats
        assert Flow(session).next is None
        assert abs((session.entries[-1].time - START).total_seconds()) < 1
        assert analysed(session).adjustment.determined
        assert not session.notices


def test_offsets_are_chosen_unless_given() -> None:
    assert planned(Design(8, ())).offsets == (0, 1, 3)
    assert planned(Design(2, ())).offsets == (0, 1)
    assert planned(Design(8, (), closure="single", reading="interval")).offsets == (0, 0, 0)
    with pytest.raises(Refused, match="leave errors open"):
        planned(Design(8, (0, 2)))


# What is shown


def test_repeats_are_of_one_seating_and_coming_back_is_another(tmp_path: Path) -> None:
    session = practised(tmp_path, replace(Parameters(1).calm, seating=1.0, within=0.01))
    bench = PracticeBench(session)
    first = bench.shows(0, 0).value
    assert bench.shows(0, 0).value == first
    session.take(0, 0, first)
    assert 0 < abs(bench.shows(0, 0).value - first) < 0.1
    session.take(0, 1, bench.shows(0, 1).value)
    assert abs(bench.shows(0, 0).value - first) > 0.1


def test_a_typing_slip_taken_back_leaves_the_instrument_as_it_was(tmp_path: Path) -> None:
    session = practised(tmp_path, Parameters(1).calm)
    bench, flow = PracticeBench(session), Flow(session)
    shown = bench.shows(0, 0).value
    flow.enter("123")
    flow.undo()
    assert bench.shows(0, 0).value == shown
    flow.enter(f"{shown}")
    assert [each.shown.value for each in bench.taken] == [shown, shown]


def test_a_struck_reading_is_set_anew(tmp_path: Path) -> None:
    session = practised(tmp_path, replace(Parameters(1).calm, seating=1.0))
    bench, flow = PracticeBench(session), Flow(session)
    shown = bench.shows(0, 0).value
    flow.enter(f"{shown}")
    flow.strike(2, "not seated")
    assert abs(bench.shows(0, 0).value - shown) > 0.1


@pytest.mark.parametrize("design", DESIGNS)
def test_what_is_shown_is_what_the_instrument_can_show(tmp_path: Path, design: Design) -> None:
    session = practised(tmp_path, SLIPS, design, full=True)
    for each in PracticeBench(session).taken:
        assert each.reading.value == each.shown.value
        assert round(each.shown.value, 2) == each.shown.value
        assert abs(each.shown.value) <= 150


# Slips


def test_slips_are_as_many_as_asked_for_and_of_every_kind() -> None:
    design = Design(36, (0, 1, 6, 20))
    kinds, count = set(), 0
    for seed in range(10):
        slips = Slips(stack_of(design, replace(SLIPS, seed=seed)))
        found = [slip for run in range(4) for slip in slips.of_run(run)]
        assert len({(slip.run, slip.step) for slip in found}) == len(found)
        kinds |= {slip.kind for slip in found}
        count += len(found)
    assert kinds == set(KINDS)
    assert count == pytest.approx(10 * USUAL_SLIPS * design.planned_cells, rel=0.05)
    assert not any(Slips(stack_of(design, Parameters(1))).of_run(run) for run in range(4))


def test_every_slip_is_large_enough_to_be_found() -> None:
    for seed in range(20):
        stack = stack_of(DESIGNS[0], replace(SLIPS, seed=seed))
        slips = Slips(stack)
        for slip in (slip for run in range(3) for slip in slips.of_run(run)):
            right = rounded(stack.reading(slip.run, slip.step, 0, 0), stack)
            wrong = slips.misread(slip, right)
            assert wrong is not None
            size = abs(slip.jump) if slip.kind == "knocked" else abs(wrong - right)
            assert size >= 8 * stack.cell_deviation
            if slip.kind == "sign":
                assert wrong == -right
            if slip.kind == "decimal":
                assert wrong == pytest.approx(10 * right)
            if slip.kind == "digits":
                assert sorted(f"{abs(wrong):.2f}") == sorted(f"{abs(right):.2f}")


@pytest.mark.parametrize("kind", ["sign", "digits", "decimal", "neighbour"])
def test_a_misread_value_is_right_the_next_time_and_a_wrong_setting_once_it_is_set_anew(
    tmp_path: Path, kind: str
) -> None:
    parameters, run, step = first_slip(kind)
    session = practised(tmp_path, parameters)
    bench = PracticeBench(session)
    shown = bench.shows(run, step)
    assert shown.value != shown.right
    assert shown.slip is not None
    number = session.take(run, step, shown.value).number
    again = bench.shows(run, step)
    assert (again.slip is None) == (kind != "neighbour")
    session.strike(number, "looks wrong")
    assert bench.shows(run, step).slip is None


def test_a_knock_lasts_until_the_run_is_begun_anew(tmp_path: Path) -> None:
    parameters, run, step = first_slip("knocked")
    session = practised(tmp_path, parameters, full=True)
    bench, flow = PracticeBench(session), Flow(session)
    spoilt = [each for each in bench.taken if each.shown.slip and each.shown.slip.kind == "knocked"]
    assert [each.reading.step for each in spoilt if each.reading.run == run] == list(range(step, 9))
    assert bench.shows(run, 8).slip is not None
    assert bench.shows(run, 0).slip is None
    flow.strike_run(run, "mirror knocked")
    assert bench.shows(run, 8).slip is not None
    session.take(run, 0, bench.shows(run, 0).value)
    assert bench.shows(run, 8).slip is None


def test_what_is_amended_of_the_instrument_does_not_change_what_it_shows(tmp_path: Path) -> None:
    path = tmp_path / "amended.toml"
    with begin(path, DESIGNS[0], Parameters(7)) as session:
        bench = PracticeBench(session)
        before = [bench.shows(0, step) for step in (1, 2)]
        session.amend("instrument.polarity", -1, "the worksheet says so")
        session.amend("instrument.unit", "urad", "read the wrong plate")
        assert [bench.shows(0, step) for step in (1, 2)] == before
    with Session.open(path) as session:
        again = PracticeBench(session)
        assert session.header.instrument.polarity == -1
        assert [again.shows(0, step) for step in (1, 2)] == before


def test_tolerances_hold_and_catch_a_forgotten_sign_before_another_run_checks_it(tmp_path: Path) -> None:
    caught = 0
    for seed in range(12):
        with practised(tmp_path / str(seed), Parameters(seed)) as session:
            bench, tolerance = PracticeBench(session), session.header.lower.tolerance
            assert tolerance is not None
            assert max(abs(bench.stack.lower).max(), abs(bench.stack.upper).max()) < tolerance
            first = bench.shows(0, 0).value
            session.take(0, 0, first)
            session.take(0, 1, -bench.shows(0, 1).value)
            tests = [flag.test for flag in analysed(session).flags]
            # Where the mirror happened to point near zero, the sign makes no more than the tolerances allow.
            if abs(first) > 3 * tolerance:
                assert tests == ["tolerance"]
                caught += 1
    assert caught >= 4
