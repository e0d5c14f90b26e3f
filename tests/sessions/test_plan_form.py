"""The planner's form: what is typed, what is wrong with it, and the session that a choice becomes."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import pytest

from sessions.design import Design
from sessions.new import check, read_offsets
from sessions.plan import ASSUMED_SD, plan
from sessions.plan_form import FIELDS, PlanForm, applies, check_plan, offset_words, session_form

NOW = datetime(2026, 3, 4, 9, 0, tzinfo=UTC)


def test_the_form_as_it_comes_is_a_plan() -> None:
    wanted = check_plan(PlanForm()).wanted
    assert wanted is not None
    assert wanted.design == Design(12, (0,))
    assert (wanted.assumed, wanted.standard_deviation, wanted.tolerance) == (True, ASSUMED_SD, None)


def test_every_figure_is_taken() -> None:
    form = PlanForm(
        positions="",
        step="22,5°",
        lower_divisions="1440",
        upper_divisions="360",
        accepted_sd="0,04",
        accepted_sd_dof="20",
        tolerance=" 0.25 ",
        seconds="60",
        repeats="2",
        closing="no",
        direction="forward and return",
        arrangement="face by face",
    )
    # 360 divisions do not stop every 22.5 degrees; the lower circle's 1440 do.
    assert check_plan(form).wrong.keys() == {"lower_divisions"}
    wanted = check_plan(replace(form, upper_divisions="720")).wanted
    assert wanted is not None
    design = wanted.design
    assert (design.positions, design.repeats, design.closing) == (16, 2, False)
    assert (design.direction, design.arrangement) == ("forward and return", "face by face")
    assert (wanted.accepted_sd, wanted.accepted_sd_dof, wanted.tolerance) == (0.04, 20, 0.25)
    assert wanted.pace.reading == 60


@pytest.mark.parametrize(
    ("figures", "field", "said"),
    [
        ({"positions": "1"}, "positions", "whole number, 2 to 1440"),
        ({"positions": "12.0"}, "positions", "whole number"),
        ({"positions": ""}, "positions", "type a number of positions"),
        ({"positions": "", "step": "0"}, "step", "an angle in degrees"),
        ({"positions": "", "step": "1e9999999"}, "step", "an angle in degrees"),
        ({"positions": "", "step": "360/0"}, "step", "an angle in degrees"),
        ({"positions": "", "step": "7"}, "step", "use 50 positions"),
        ({"positions": "", "step": "0.1"}, "step", "from 2 to 1440"),
        ({"step": "22.5"}, "step", "12 positions are 30° apart"),
        ({"lower_divisions": "1445"}, "lower_divisions", "do not divide the 1445 divisions of the lower"),
        ({"upper_divisions": "1445"}, "lower_divisions", "do not divide the 1445"),
        ({"accepted_sd": "0"}, "accepted_sd", "more than 0"),
        ({"accepted_sd": "0.05.1"}, "accepted_sd", "not a number"),
        ({"accepted_sd_dof": "20"}, "accepted_sd", "missing"),
        ({"accepted_sd": "1", "accepted_sd_dof": "2.5"}, "accepted_sd_dof", "whole number"),
        ({"tolerance": "-1"}, "tolerance", "more than 0"),
        ({"seconds": "soon"}, "seconds", "not a number"),
        ({"repeats": "100"}, "repeats", "1 to 99"),
    ],
)
def test_what_makes_no_plan_is_told_at_its_field(figures: dict[str, str], field: str, said: str) -> None:
    checked = check_plan(replace(PlanForm(), **figures))
    assert checked.wanted is None
    assert said in checked.wrong[field]


def test_fields_that_do_not_apply_are_not_looked_at() -> None:
    single = PlanForm(
        closure="single", upper_divisions="x", reading="position", direction="forward and return"
    )
    assert applies(single) == set(FIELDS) - {
        "upper_divisions",
        "arrangement",
        "reading",
        "direction",
        "closing",
    }
    wanted = check_plan(single).wanted
    assert wanted is not None
    assert (wanted.design.reading, wanted.design.direction, wanted.design.closing) == (
        "interval",
        "forward",
        False,
    )
    interval = check_plan(PlanForm(reading="interval", direction="forward and return")).wanted
    assert interval is not None
    assert (interval.design.direction, interval.design.closing) == ("forward", False)


@pytest.mark.parametrize(
    "form",
    [
        PlanForm(positions="7", tolerance="0,5", accepted_sd="0,05", accepted_sd_dof="9", repeats="3"),
        PlanForm(positions="12", tolerance="0.02"),
        PlanForm(reading="interval", arrangement="face by face"),
        PlanForm(direction="forward and return", closing="no"),
        PlanForm(positions="8", closure="single"),
    ],
)
def test_a_choice_becomes_a_session_of_just_that_design(form: PlanForm) -> None:
    wanted = check_plan(form).wanted
    assert wanted is not None
    for choice in plan(wanted).choices:
        header = check(session_form(form, choice), NOW).header
        assert header is not None
        assert sorted(header.design.offsets) == sorted(choice.design.offsets)
        assert replace(header.design, offsets=()) == replace(choice.design, offsets=())
        assert header.lower.tolerance == wanted.tolerance
        assert header.instrument.accepted_sd == wanted.accepted_sd
        assert header.instrument.accepted_sd_dof == wanted.accepted_sd_dof


@pytest.mark.parametrize(
    ("offsets", "words"),
    [
        ((0, 1, 3), "0, 1, 3"),
        ((0, 1, 2, 3), "all"),
        ((0, 0, 1, 1, 2, 2, 3, 3), "all, all"),
        ((0, 1, 1, 2, 3, 3), "all, 1, 3"),
        ((1, 1), "1, 1"),
    ],
)
def test_offsets_in_words_are_read_again(offsets: tuple[int, ...], words: str) -> None:
    assert offset_words(Design(4, offsets)) == words
    assert sorted(read_offsets(words, 4)) == sorted(offsets)
