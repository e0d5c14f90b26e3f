"""The end of a practice session: the fates of slips, and what the learner did."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np

from sessions.analysis import analyse
from sessions.flow import Flow
from sessions.practice.bench import PracticeBench
from sessions.practice.debrief import debrief
from sessions.practice.parameters import (
    Parameters,
)
from sessions.practice.result import debrief_table
from tests.sessions.practice_kit import DESIGNS, SLIPS, analysed, first_slip, practised


def test_the_fates_of_slips(tmp_path: Path) -> None:
    session = practised(tmp_path, replace(SLIPS, seed=7), full=True)
    found = debrief(session, analysed(session))
    assert {each.fate for each in found.slips} == {"flagged"}
    unscreened = debrief(session, analyse(session.matrix.snapshot(), screened=False))
    assert {each.fate for each in unscreened.slips} == {"missed"}
    assert unscreened.missed == unscreened.slips
    first, second = found.slips
    session.keep(first.readings[0].reading.number, "seen in the eyepiece")
    session.strike(second.readings[0].reading.number, "looks wrong")
    session.take(
        second.slip.run,
        second.slip.step,
        PracticeBench(session).shows(second.slip.run, second.slip.step).value,
    )
    last = debrief(session, analyse(session.matrix.snapshot(), screened=False))
    assert [each.fate for each in last.slips] == ["kept", "put right"]
    assert not last.mistyped
    assert not last.struck


def test_a_run_split_where_the_mirror_was_knocked_is_put_right(tmp_path: Path) -> None:
    parameters, run, step = first_slip("knocked")
    session = practised(tmp_path, parameters, full=True)
    session.split(run, step, "mirror knocked")
    found = debrief(session, analysed(session))
    assert next(each for each in found.slips if each.slip.kind == "knocked").fate == "put right"


def test_what_is_suggested_and_accepted_is_neither_mistyped_nor_missed(tmp_path: Path) -> None:
    parameters, run, step = first_slip("sign")
    session = practised(tmp_path, parameters, full=True)
    flag = next(flag for flag in analysed(session).flags if (flag.run, flag.step) == (run, step))
    assert flag.suggestion == "sign"
    Flow(session).accept(flag)
    found = debrief(session, analysed(session))
    assert next(each for each in found.slips if each.slip.kind == "sign").fate == "put right"
    assert not found.mistyped


def test_mistyped_readings_and_good_ones_struck_are_told(tmp_path: Path) -> None:
    session = practised(tmp_path, Parameters(1).calm)
    bench = PracticeBench(session)
    right = bench.shows(0, 0).value
    session.take(0, 0, right + 0.1)
    session.take(0, 1, bench.shows(0, 1).value)
    good = session.take(0, 2, bench.shows(0, 2).value)
    session.strike(good.number, "felt wrong")
    found = debrief(session, analysed(session))
    assert [each.reading.number for each in found.mistyped] == [2]
    assert [each.reading.number for each in found.struck] == [good.number]
    assert found.to_read == 25
    assert (found.known, found.inside) == (0, 0)
    session.strike(2, "typing slip")
    assert not debrief(session, analysed(session)).mistyped


def test_the_debrief_as_plain_data(tmp_path: Path) -> None:
    session = practised(tmp_path, Parameters(8).calm, full=True)
    found = debrief(session, analysed(session))
    table = debrief_table(found, Parameters(8).calm)
    lower = table["circles"]["lower"]
    errors = np.array(lower["position_error"]) - np.array(lower["true_position_error"])
    assert lower["within"] == (np.abs(errors) <= np.array(lower["expanded_uncertainty"])).tolist()
    assert table["within"] == sum(sum(table["circles"][name]["within"]) for name in ("lower", "upper"))
    assert (table["determined"], table["seed"], table["slips"], table["cells_to_read"]) == (16, 8, [], 0)


def test_the_debrief_of_a_single_closure_has_one_circle(tmp_path: Path) -> None:
    session = practised(tmp_path, Parameters(8).calm, DESIGNS[5], full=True)
    found = debrief(session, analysed(session))
    assert [circle.name for circle in found.circles] == ["lower"]
    assert found.known == 8
