"""What a certificate says."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from hashlib import sha256
from pathlib import Path

import numpy as np
import pytest

from sessions.analysis import analyse
from sessions.bench import Bench
from sessions.budget import Budget, expanded, record
from sessions.budget_view import shown
from sessions.certificate import details
from sessions.certificate.csv import csv_text
from sessions.certificate.details import ASKED, LABELS, Details, details_of
from sessions.certificate.numbers import aligned, fixed, pair
from sessions.certificate_data import Certificate, certificate
from sessions.demo import copy_demo
from sessions.design import Design
from sessions.equipment import Instrument
from sessions.practice.begin import begin, play
from sessions.practice.parameters import Parameters
from sessions.session import Session
from solver.budget import Line
from solver.coverage import coverage_factor
from solver.decision import Verdict
from solver.refused import Refused
from tests.sessions.certified import DETAILS, LINES, certified, header, taken

DAY = date(2026, 5, 1)


def made(session: Session) -> Certificate:
    with session:
        return certificate(session, DAY)


def test_a_finished_session_is_no_draft(tmp_path: Path) -> None:
    found = made(certified(tmp_path / "a.toml"))
    assert found.draft == ()
    assert found.empty == ()
    assert not found.attention
    assert found.number == "FT-2026-017"
    assert found.issued == date(2026, 4, 20)
    assert [circle.name for circle in found.circles] == ["lower", "upper"]
    assert all(circle.decision.verdict is Verdict.CONFORMS for circle in found.circles if circle.decision)
    assert found.digest == sha256((tmp_path / "a.toml").read_bytes()).hexdigest()
    assert found.program.startswith("Fullturn ")


def test_values_are_those_of_the_analysis_rounded(tmp_path: Path) -> None:
    with certified(tmp_path / "a.toml") as session:
        analysis = analyse(session.matrix.snapshot())
        u = expanded(session.entries, analysis)
        found = certificate(session, DAY)
    for circle, (name, errors) in zip(found.circles, analysis.circles, strict=True):
        uncertainty = dict(u.circles)[name]
        for at, row in enumerate(circle.rows):
            value, half = pair(errors.position.value[at], uncertainty.position.expanded[at])
            assert (row.error.strip(), row.error_u.strip()) == (value, half)
            interval, half = pair(errors.interval.value[at], uncertainty.interval.expanded[at])
            assert (row.interval.strip(), row.interval_u.strip()) == (interval, half)
        assert circle.rows[0].from_first.strip() == "0"
        assert circle.rows[3].angle == "90°"
        assert circle.budget is not None
        assert sum(row.share for row in circle.budget.rows) == pytest.approx(1)
        assert [row.counted for row in circle.budget.rows] == [True, True, True, True, False]


@pytest.mark.parametrize(
    ("value", "expanded_", "printed"),
    [
        (0.12345, 0.0234, ("+0.123", "0.023")),
        (-0.12345, 0.0996, ("−0.12", "0.10")),
        (0.0004, 0.12, ("0.00", "0.12")),
        (12.345, 1.5, ("+12.3", "1.5")),
        (123.4, 25.4, ("+123", "25")),
        (1234.5, 254.4, ("+1234", "254")),
        (np.nan, 0.1, ("not determined", "")),
        (0.1, np.nan, ("not determined", "")),
        (0.0, 0.0, ("0", "0")),
    ],
)
def test_two_significant_digits(value: float, expanded_: float, printed: tuple[str, str]) -> None:
    """JCGM 100, 7.2.6 (memory)."""
    assert pair(value, expanded_) == printed


def test_points_stand_below_each_other() -> None:
    found = aligned(["+0.123", "−0.12", "0", "not determined"])
    assert found[0] == "+0.123"
    assert len(found[1]) == len(found[0])
    assert found[2].strip() == "0"
    assert len(found[2]) == 5
    assert found[3] == "not determined"


def test_a_half_done_session_is_a_draft(tmp_path: Path) -> None:
    with Session.read(copy_demo(tmp_path)) as session:
        found = certificate(session, DAY)
    assert found.draft[1] == "6 of 52 cells are not read yet"
    assert len([reason for reason in found.draft if reason.startswith("flag: ")]) == found.flags > 0
    assert found.attention
    assert found.issued == DAY
    asked = ", ".join(LABELS[name][:1].lower() + LABELS[name][1:] for name in ASKED)
    assert found.draft[0].startswith(f"not filled in: {asked}")


def test_what_is_not_determined_is_said_so(tmp_path: Path) -> None:
    found = made(taken(tmp_path / "a.toml", header(12, offsets=(0, 6))))
    assert any("share a factor" in reason for reason in found.draft)
    assert {row.error for row in found.circles[0].rows} == {"not determined"}
    assert found.circles[0].budget is None
    assert found.circles[0].decided == "not decided: no error is determined with its uncertainty"


def test_an_empty_session(tmp_path: Path) -> None:
    found = made(Session.create(tmp_path / "a.toml", header()))
    assert found.draft[1] == "156 of 156 cells are not read yet"
    assert ", temperature" in found.draft[0]
    assert {fact.label: fact.value for fact in found.work}["Date of calibration"] == ""


def test_not_conforming_needs_attention(tmp_path: Path) -> None:
    plan = header()
    strict = replace(plan, lower=replace(plan.lower, tolerance=0.02))
    found = made(certified(tmp_path / "a.toml", strict))
    assert found.circles[0].decision is not None
    assert found.circles[0].decision.verdict is Verdict.FAILS
    assert "does not conform, errors about the mean of the circle" in found.circles[0].decided
    assert found.attention
    assert not found.draft


def test_reference_of_the_decision(tmp_path: Path) -> None:
    with certified(tmp_path / "a.toml") as session:
        mean = certificate(session, DAY)
        zero = certificate(session, DAY, details=replace(DETAILS, reference="position 0"))
        from_first = analyse(session.matrix.snapshot()).lower.from_first.value
    assert "from position 0" in zero.decision_rule
    assert "about the mean" in mean.decision_rule
    decision = zero.circles[0].decision
    assert decision is not None
    assert decision.value == from_first[decision.position]


def test_only_the_customers_item_is_certified(tmp_path: Path) -> None:
    with certified(tmp_path / "a.toml") as session:
        found = certificate(session, DAY, details=replace(DETAILS, items="lower"))
    assert [circle.name for circle in found.circles] == ["lower"]
    assert "Auxiliary, upper circle" in [fact.label for fact in found.items]


def test_single_closure(tmp_path: Path) -> None:
    plan = header(8, closure="single", reading="interval", offsets=(0,) * 4)
    found = made(certified(tmp_path / "a.toml", plan))
    assert [circle.name for circle in found.circles] == ["lower"]
    assert found.reference_angle.startswith("The fixed angle differs from 45° by +0.")
    assert "one fixed angle of about 360°/8" in found.method[0]


def test_the_fixed_angle_has_its_expanded_uncertainty(tmp_path: Path) -> None:
    plan = header(8, closure="single", reading="interval", offsets=(0,) * 4)
    with taken(tmp_path / "a.toml", plan) as session:
        alone = certificate(session, DAY)
        analysis = analyse(session.matrix.snapshot())
        u = expanded((), analysis).reference
        worked = shown(analysis, Budget())[-1]
        record(session, Budget(lines=LINES))
        counted = certificate(session, DAY)
        harmonic = Budget(lines=(replace(LINES[2], half_width=9.0),))
        cancelled = expanded((), analysis, harmonic).reference
    assert u is not None
    assert cancelled is not None
    k = coverage_factor(analysis.adjustment.degrees_of_freedom)
    np.testing.assert_allclose(u.expanded, k * analysis.reference.uncertainty)
    np.testing.assert_allclose(cancelled.expanded, u.expanded)
    assert (worked.words, worked.expanded) == ("the fixed angle", u.expanded[0])
    assert alone.reference_angle.endswith(
        f"± {fixed(float(u.expanded[0]), 3)}″ (U, k = {float(u.factor[0]):.2f}), "
        "from the scatter of the readings (type A) alone."
    )
    assert counted.reference_angle.endswith(
        "with the lines of the budget; those that only depend on the angle cancel round the circle; "
        "those that all readings may share count in full."
    )


def test_a_dual_closure_has_no_fixed_angle(tmp_path: Path) -> None:
    with taken(tmp_path / "a.toml", header(6)) as session:
        assert expanded((), analyse(session.matrix.snapshot())).reference is None
        assert certificate(session, DAY).reference_angle == ""


@pytest.mark.parametrize(
    ("design", "words"),
    [
        ({"arrangement": "face by face"}, "the upper circle with it, so that a reading is the difference"),
        ({"reading": "interval"}, "zeroed before every step"),
        ({"drift": "linear"}, "linear drift"),
        (
            {"direction": "forward and return"},
            "24 runs round the circle were taken, forward and return in turn, at all",
        ),
        ({"offsets": (0, 1, 4)}, "3 offsets (0, 1, 4) of 12"),
        ({}, "all offsets"),
    ],
)
def test_the_method_is_that_of_the_session(tmp_path: Path, design: dict[str, object], words: str) -> None:
    found = made(Session.create(tmp_path / "a.toml", header(12, **design)))
    assert words in " ".join(found.method)


def test_what_did_not_go_as_planned_is_told(tmp_path: Path) -> None:
    with certified(tmp_path / "a.toml", header(6)) as session:
        [reading] = session.matrix.readings(0, 3)
        session.strike(reading.number, "door opened")
        session.split(1, 4, "mirror knocked")
        session.amend("lower.tolerance", 0.4, "agreed")
        found = certificate(session, DAY)
    assert found.deviations == (
        "Run 1 has a constant of its own from step 4 on: mirror knocked.",
        "1 reading was struck.",
        "1 cell (run 0 step 3) was left out, as all its readings are struck.",
        "The plan or what it names was amended.",
    )
    told = " ".join(found.method)
    assert "the instrument was left alone throughout a run, but for run 1 before step 4" in told
    assert "a constant for each run, and others for run 1 from step 4 on" in told
    # A cell that was struck is left out on purpose; one that was never read is not.
    assert not any("not read yet" in reason for reason in found.draft)
    misfits = {fact.label: fact.value for fact in found.quality}["Closing misfits"]
    assert misfits.endswith("in 5 runs; without 1 split run")


def test_closing_misfits_of_return_runs_are_in_the_order_of_reading(tmp_path: Path) -> None:
    with Session.create(tmp_path / "a.toml", header(6, direction="forward and return")) as session:
        for number, place in enumerate(Bench(session.header).places()):
            session.take(place.run, place.step, number / 100)
        found = certificate(session, DAY)
    misfits = {fact.label: fact.value for fact in found.quality}["Closing misfits"]
    assert misfits == "0.060″ in 6 forward runs; 0.060″ in 6 return runs; last minus first reading"


def test_without_any_uncertainty_it_is_a_draft(tmp_path: Path) -> None:
    """Two runs leave no degree of freedom, and no standard deviation was accepted."""
    plan = header(6, offsets=(0, 1), closing=False)
    with certified(tmp_path / "a.toml", replace(plan, instrument=Instrument())) as session:
        found = certificate(session, DAY)
    assert found.draft == (
        "no uncertainty is determined: no degree of freedom, and no standard deviation accepted beforehand",
    )
    assert found.attention
    assert found.uncertainty.startswith("The uncertainty is not determined")
    lines = [line for line in csv_text(found).splitlines() if line.startswith("lower,position_error")]
    assert all(line.split(",")[5] == "" for line in lines)


def test_nothing_is_issued_before_its_last_reading(tmp_path: Path) -> None:
    with certified(tmp_path / "a.toml", header(6)) as session:
        details.record(session, replace(details_of(session.entries), issued="2026-01-01"))
        assert found_in(certificate(session, DAY).draft, "the date of issue lies before the last reading")


def found_in(reasons: tuple[str, ...], words: str) -> bool:
    return any(words in reason for reason in reasons)


def test_a_run_struck_at_once_is_one_line_of_the_annex(tmp_path: Path) -> None:
    with taken(tmp_path / "a.toml", header(6)) as session:
        for step in range(7):
            for reading in session.matrix.readings(1, step):
                session.strike(reading.number, "door opened")
        session.strike(session.matrix.readings(0, 2)[0].number, "door opened")
        session.strike(session.matrix.readings(0, 3)[0].number, "not seated")
        found = certificate(session, DAY)
    run, *single = [line.words for line in found.annex.log if line.what == "struck"]
    assert run.endswith("readings of run 1, steps 0 to 6: door opened")
    assert [words.partition(": ")[2] for words in single] == ["door opened", "not seated"]
    assert found.annex.grids[0].steps[-2:] == ("5", "6 closing")


def test_everything_recorded_is_in_the_annex(tmp_path: Path) -> None:
    with taken(tmp_path / "a.toml", header(6)) as session:
        number = session.entries[5].number
        session.strike(number, "door opened")
        session.take(0, 4, -123.456)
        session.keep(session.entries[8].number, "seen in the eyepiece")
        session.split(1, 3, "mirror touched")
        session.note("a note\nof two lines")
        session.amend("operator", "C. D. Other", "change of shift")
        session.setup("levelling", {"verdict": "passes", "found": "Tilt 2″."})
        session.setup("levelling", {"verdict": "does not pass", "found": "Tilt 9″."})
        session.setup("own", {"value": 3})
        found = certificate(session, DAY)
    words = {line.what: line.words for line in found.annex.log}
    assert words["struck"].endswith(": door opened")
    assert "run 0 step 4" in words["struck"]
    assert words["note"] == "a note of two lines"
    assert words["amended"] == "Operator = C. D. Other: change of shift"
    assert words["split"] == "run 1 from step 3 on: mirror touched"
    struck = found.annex.grids[0].cells[4][0]
    assert "×" in struck
    assert struck.endswith("−123.456")
    assert any("†" in cell for row in found.annex.grids[0].cells for cell in row)
    assert [(check.name, check.verdict, check.found) for check in found.setup] == [
        ("levelling", "does not pass", "Tilt 9″."),
        ("own", "", "value 3"),
    ]


def test_readings_stand_as_typed(tmp_path: Path) -> None:
    plan = replace(header(6), instrument=replace(header().instrument, resolution=0.01))
    with Session.create(tmp_path / "a.toml", plan) as session:
        for value, step in ((1.5, 0), (-0.25, 1), (3, 2), (0.123, 3), (1e-5, 4)):
            session.take(0, step, value)
        found = certificate(session, DAY)
    column = [cells[0] for cells in found.annex.grids[0].cells]
    assert column[:4] == ["1.50", "−0.25", "3.00", "0.123"]
    assert column[4] == "1e−05"


def test_details_are_recorded_and_read_back(tmp_path: Path) -> None:
    with taken(tmp_path / "a.toml", header(4)) as session:
        details.record(session, replace(DETAILS, number="old"))
        details.record(session, DETAILS)
    with Session.read(tmp_path / "a.toml") as again:
        assert details_of(again.entries) == DETAILS
    assert details_of(()) == Details()


@pytest.mark.parametrize(
    "table", [{"numbr": "1"}, {"issued": "5 March"}, {"reference": "zero"}, {"number": 5}]
)
def test_details_that_do_not_fit_are_refused(tmp_path: Path, table: dict[str, object]) -> None:
    with Session.create(tmp_path / "a.toml", header(4)) as session:
        session.setup("certificate", table)
        with pytest.raises(Refused) as refusal:
            certificate(session, DAY)
    assert refusal.value.where.startswith("entry 1")


@pytest.mark.parametrize(
    ("change", "named"),
    [
        ({"number": ""}, "certificate number"),
        ({"laboratory": ""}, "laboratory"),
        ({"instrument": ""}, "instrument"),
        ({"authorised_by": ""}, "authorised by"),
    ],
)
def test_without_someone_who_answers_for_it_it_is_a_draft(
    tmp_path: Path, change: dict[str, str], named: str
) -> None:
    """ISO/IEC 17025:2017, 7.8.2.1 (memory). The readings are in order, so nothing but paper needs attention."""
    with certified(tmp_path / "a.toml") as session:
        found = certificate(session, DAY, details=replace(DETAILS, **change))
    assert found.draft == (f"not filled in: {named}",)
    assert not found.attention


def test_an_item_without_a_serial_makes_a_draft(tmp_path: Path) -> None:
    plan = header()
    found = made(certified(tmp_path / "a.toml", replace(plan, lower=replace(plan.lower, serial=""))))
    assert found.draft == ("not filled in: lower circle: serial number",)


def test_simulated_readings_make_a_specimen(tmp_path: Path) -> None:
    with begin(tmp_path / "a.toml", Design(6, (0, 1, 3)), Parameters(seed=1)) as session:
        play(session)
        found = certificate(session, DAY, details=DETAILS)
    assert found.draft[0] == "a specimen: the readings are simulated"


def test_errors_from_position_0_have_no_budget_sheet_while_none_but_position_0_has_an_uncertainty(
    tmp_path: Path,
) -> None:
    """Position 0 counted from itself is 0 by definition: there is nothing to break down (own reasoning)."""
    plan = replace(header(6), design=Design(6, (0, 1), closing=False), instrument=Instrument())
    with taken(tmp_path / "a.toml", plan) as session:
        details.record(session, replace(DETAILS, reference="position 0"))
        analysis = analyse(session.matrix.snapshot())
        assert analysis.adjustment.degrees_of_freedom == 0
        found = certificate(session, DAY)
        assert csv_text(found)
        assert shown(analysis, Budget()) == ()
    assert found.draft
    assert [circle.budget for circle in found.circles] == [None, None]


@pytest.mark.parametrize(
    ("lines", "said"),
    [
        (
            (Line("linearity"), Line("mirror flatness")),
            "not filled in: uncertainty budget, without which type A stands alone, "
            "figure in the budget: linearity, figure in the budget: mirror flatness",
        ),
        ((*LINES, Line("linearity")), "not filled in: figure in the budget: linearity"),
        ((), "not filled in: uncertainty budget, without which type A stands alone"),
        (LINES, None),
    ],
    ids=["none", "all but one", "no line", "all that count"],
)
def test_a_budget_is_there_once_every_line_that_counts_has_a_figure(
    tmp_path: Path, lines: tuple[Line, ...], said: str | None
) -> None:
    """A source that counts and has no figure is missing from the uncertainty (JCGM 100, 3.4.4 and 8: memory)."""
    session = certified(tmp_path / "a.toml")
    record(session, Budget(lines=lines))
    assert made(session).draft == (() if said is None else (said,))


def test_a_cell_taken_back_to_be_typed_again_is_not_read(tmp_path: Path) -> None:
    """In the last run, whose zero is still the present one; struck for another reason it is left out."""
    with taken(tmp_path / "a.toml", header(6)) as session:
        run = session.header.design.run_count - 1
        for reading in session.matrix.readings(run, 3):
            session.strike(reading.number, "typing slip")
        assert found_in(certificate(session, DAY).draft, "cells is not read yet")
        for reading in session.matrix.readings(0, 3):
            session.strike(reading.number, "typing slip")
        found = certificate(session, DAY)
    assert found_in(found.draft, "1 of ")
    assert found_in(found.deviations, "left out")
