"""Circles that can, or cannot, stop at the positions planned; what suits a polygon in the form."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import pytest

from sessions.divisions import refuse_faces, used_words
from sessions.form_suits import by_hand_in, changed, suited
from sessions.new import Form, check, proposed_title
from sessions.step_angle import positions_of
from solver.closure import Closure
from solver.refused import Refused
from solver.variance import determines

NOW = datetime(2026, 3, 2, 8, 41, tzinfo=UTC)
POLYGON = Form(
    arrangement="face by face",
    positions="8",
    offsets="0, 1, 3",
    lower_kind="rotary table",
    upper_kind="polygon",
)


@pytest.mark.parametrize("faces", [7, 8, 12, 24, 36, 72])
def test_faces_that_divide_the_table_pass(faces: int) -> None:
    refuse_faces(faces, 360 * 7, "here")
    assert positions_of(faces, None, (360 * 7, faces), polygon=True) == faces


@pytest.mark.parametrize(
    ("faces", "divisions", "ways"),
    [
        (7, 1440, ["multiple of 7 divisions", "any angle", "closure single", "51.4286° apart"]),
        (24, 36, ["measure 12 of the faces, every 2nd", "multiple of 24"]),
        (36, 8, ["measure 4 of the faces, every 9th"]),
        (22, 8, ["measure 2 of the faces, every 11th"]),
    ],
)
def test_a_polygon_that_does_not_fit_is_refused_with_the_ways_out(
    faces: int, divisions: int, ways: list[str]
) -> None:
    with pytest.raises(Refused) as refused:
        positions_of(faces, None, (divisions,), polygon=True)
    assert refused.value.what == f"{faces} faces do not divide the {divisions} divisions of the table"
    assert refused.value.where == "--divisions"
    for way in ways:
        assert way in refused.value.remedy
    if faces == 7:
        assert "measure" not in refused.value.remedy


def test_the_form_refuses_at_the_divisions_and_says_the_way_out() -> None:
    checked = check(replace(POLYGON, positions="7", lower_divisions="1440"), NOW)
    assert checked.header is None
    assert checked.wrong == {"lower_divisions": "7 faces do not divide the 1440 divisions of the table"}
    assert checked.design is not None
    (way,) = checked.ways_out
    assert "closure single" in way


@pytest.mark.parametrize(
    ("typed", "field", "said"),
    [
        (
            {"upper_divisions": "12"},
            "upper_divisions",
            "8 positions do not divide the 12 faces of the polygon",
        ),
        ({"lower_divisions": "1"}, "lower_divisions", "whole number, 2 to"),
        ({"lower_divisions": "x"}, "lower_divisions", "whole number"),
        (
            {"closure": "single", "lower_divisions": "100"},
            "lower_divisions",
            "8 positions do not divide the 100 divisions of the circle",
        ),
        (
            {"upper_kind": "index table", "upper_divisions": "12"},
            "upper_divisions",
            "8 positions do not divide the 12 divisions of the upper circle",
        ),
    ],
)
def test_divisions_that_do_not_fit_are_told(typed: dict[str, str], field: str, said: str) -> None:
    wrong = check(replace(POLYGON, **typed), NOW).wrong
    assert wrong.keys() == {field}
    assert said in wrong[field]


def test_what_is_measured_is_said_where_there_are_more_divisions() -> None:
    checked = check(replace(POLYGON, lower_divisions="1440", upper_divisions="8"), NOW)
    assert checked.header is not None
    assert checked.used == (
        "Of the 1440 divisions of the table every 180th is used: what is measured are these 8, not those between.",
    )
    assert check(POLYGON, NOW).used == ()


@pytest.mark.parametrize(("divisions", "word"), [(22, "2nd"), (33, "3rd"), (121, "11th"), (231, "21st")])
def test_ordinals(divisions: int, word: str) -> None:
    assert f"every {word} " in used_words(11, divisions, "table")


def test_divisions_are_no_part_of_the_header() -> None:
    with_divisions = check(replace(POLYGON, lower_divisions="1440"), NOW)
    assert with_divisions.header == check(POLYGON, NOW).header


@pytest.mark.parametrize(
    ("form", "chosen", "along"),
    [
        (Form(upper_kind="polygon"), "upper_kind", {"arrangement": "face by face"}),
        (Form(arrangement="face by face"), "arrangement", {"upper_kind": "polygon"}),
        (replace(POLYGON, arrangement="counter-rotating"), "arrangement", {"upper_kind": "index table"}),
        (replace(POLYGON, upper_kind="index table"), "upper_kind", {"arrangement": "counter-rotating"}),
        (replace(POLYGON, upper_kind="encoder"), "upper_kind", {}),
        (Form(arrangement="face by face", upper_kind="encoder"), "arrangement", {}),
        (Form(positions="8"), "positions", {"offsets": "0, 1, 3"}),
        (Form(positions="2"), "positions", {"offsets": "0, 1"}),
        (Form(positions="8x"), "positions", {}),
        (Form(positions="8", closure="single"), "positions", {}),
        (Form(title="x"), "title", {}),
    ],
)
def test_a_choice_brings_along_what_suits_it(form: Form, chosen: str, along: dict[str, str]) -> None:
    assert suited(form, [chosen], frozenset()) == along


def test_what_was_chosen_by_hand_stays() -> None:
    form = Form(upper_kind="polygon", positions="8")
    assert suited(form, ["upper_kind", "positions"], frozenset({"arrangement", "offsets"})) == {}


@pytest.mark.parametrize("positions", range(2, 80))
def test_offsets_brought_along_determine_both_circles(positions: int) -> None:
    along = suited(Form(positions=str(positions)), ["positions"], frozenset())
    offsets = tuple(map(int, along.get("offsets", "0, 1, 4").split(",")))
    assert determines(Closure(positions), offsets)


def test_fields_that_are_not_as_they_come_count_as_chosen() -> None:
    assert by_hand_in(Form()) == frozenset()
    assert by_hand_in(POLYGON) == {"arrangement", "positions", "offsets", "lower_kind", "upper_kind"}
    assert changed(Form(), replace(Form(), title="x")) == {"title"}


def test_titles_speak_of_faces() -> None:
    assert proposed_title(POLYGON) == "polygon on rotary table, 8 faces"
    assert proposed_title(replace(POLYGON, closure="single", lower_kind="polygon")) == "polygon, 8 faces"
