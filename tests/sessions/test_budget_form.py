"""A budget line as it is typed."""

from __future__ import annotations

from dataclasses import replace

import pytest

from sessions.budget import read_line
from sessions.budget_form import LineForm, applies, check_line, form_of, read_probability
from solver.budget import Line
from solver.effects import Effect
from solver.refused import Refused
from tests.sessions.certified import LINES

MORE = (
    Line("normal", "A", "normal", standard_uncertainty=1e-7, degrees_of_freedom=7.25, sensitivity=-2.5),
    Line("phase", half_width=0.1, effect=Effect("harmonic", "upper", 3, -30.0)),
    Line("list", half_width=0.1, effect=Effect("shape", "lower", shape=(0.1, -2.0, 3.5)), counted=False),
    Line("judged", half_width=0.1, relative_uncertainty=0.255),
)


@pytest.mark.parametrize("line", [*LINES, *MORE], ids=lambda line: line.name)
def test_every_line_comes_back_from_its_form(line: Line) -> None:
    found = check_line(form_of(line), 3).line
    kept = line if line.standard_uncertainty is None else replace(line, distribution=line.distribution)
    assert found == kept


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"name": " "}, "name"),
        ({"figure": "wide"}, "figure"),
        ({"figure": "-1"}, "figure"),
        ({"freedom": "0"}, "freedom"),
        ({"freedom": "3", "relative": "25"}, "relative"),
        ({"effect": "harmonic", "order": "0"}, "order"),
        ({"effect": "harmonic", "phase": "x"}, "phase"),
        ({"effect": "shape"}, "shape"),
        ({"effect": "shape", "shape": "1 2"}, "shape"),
        ({"sensitivity": "1e400"}, "sensitivity"),
    ],
)
def test_what_is_wrong_is_said_at_its_field(change: dict[str, str], field: str) -> None:
    found = check_line(replace(LineForm(name="a", figure="0.1"), **change), 3)  # type: ignore[arg-type]
    assert found.line is None
    assert set(found.wrong) == {field}


def test_decimal_comma_and_an_open_figure() -> None:
    found = check_line(LineForm(name="a", figure="0,25"), 3).line
    assert found is not None
    assert found.half_width == 0.25
    open_ = check_line(LineForm(name="a"), 3).line
    assert open_ is not None
    assert not open_.assessed


def test_fields_that_mean_nothing_are_not_read() -> None:
    form = LineForm(name="a", figure="1", given="standard uncertainty", order="x", phase="x", shape="x")
    assert {"distribution", "order", "phase", "shape"}.isdisjoint(applies(form))
    assert check_line(form, 3).line is not None


def test_what_a_form_makes_may_be_recorded() -> None:
    from sessions.budget import Budget, budget_table

    for line in (*LINES[:3], *MORE):
        made = check_line(form_of(line), 3).line
        assert made is not None
        table = budget_table(Budget(lines=(made,)))["lines"][0]
        assert read_line(table, 3, "line") == made


@pytest.mark.parametrize(("text", "value"), [("95.45", 0.9545), ("95,45 %", 0.9545), ("99", 0.99)])
def test_coverage_probability(text: str, value: float) -> None:
    assert read_probability(text) == value


@pytest.mark.parametrize("text", ["100", "0.95", "much", "49"])
def test_no_coverage_probability(text: str) -> None:
    with pytest.raises(Refused):
        read_probability(text)


@pytest.mark.parametrize("text", ["0.1 %", "0.1%", "0.001", "0,001"])
def test_a_part_of_the_value_may_be_typed_in_percent(text: str) -> None:
    found = check_line(LineForm(name="scale", figure=text, effect="proportional"), 12)
    assert found.line is not None
    assert found.line.half_width == pytest.approx(0.001)
    assert check_line(LineForm(name="flatness", figure="0.1 %"), 12).line is None


def test_a_figure_has_no_source_that_says_there_is_none() -> None:
    found = check_line(LineForm(name="flatness", figure="0.02", source="not assessed yet"), 12)
    assert found.line is not None
    assert found.line.source == ""
