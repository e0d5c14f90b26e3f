"""A worksheet while it is filled in: where one types, what is refused, what is kept."""

from __future__ import annotations

from dataclasses import replace

import pytest

from sessions.header import Header
from sessions.worksheets import WORKSHEETS
from sessions.worksheets.centring import CENTRING
from sessions.worksheets.filling import Filling
from sessions.worksheets.levelling import LEVELLING
from sessions.worksheets.lever import LEVER
from sessions.worksheets.sheet import Column, Worksheet
from sessions.worksheets.warming import WARMING
from solver.refused import Refused
from tests.sessions.kit import example_header


@pytest.fixture
def header() -> Header:
    return example_header()


def type_in(filling: Filling, *texts: str) -> None:
    for text in texts:
        filling.enter(text)


def label(filling: Filling) -> str:
    return "" if filling.here is None else filling.here.label


def test_typing_goes_on_to_the_next_line(header: Header) -> None:
    filling = Filling(LEVELLING, header)
    assert label(filling) == "The level shows"
    type_in(filling, "", "4", "", "1.5")
    assert label(filling) == "Level at 90°"
    type_in(filling, "2,5", "-1", "+0.25")
    assert filling.here is None
    assert filling.complete
    with pytest.raises(Refused):
        filling.enter("1")


def test_a_decimal_comma_is_a_point(header: Header) -> None:
    filling = Filling(LEVELLING, header)
    type_in(filling, "", "4", "", "1,5", "−2,25", "0", "0")
    assert filling.result["level_arcsec"] == [1.5, -2.25, 0.0, 0.0]


@pytest.mark.parametrize("text", ["x", "1.2.3", "1 2", "--4", "nan", "1e5"])
def test_what_is_no_number_is_refused_and_nothing_lost(header: Header, text: str) -> None:
    filling = Filling(LEVELLING, header)
    type_in(filling, "", "", "", "1.5")
    before = filling.slots
    with pytest.raises(Refused):
        filling.enter(text)
    assert filling.slots == before
    assert label(filling) == "Level at 45°"


@pytest.mark.parametrize(
    ("texts", "wrong", "what"),
    [
        ((), "3", "none of the choices"),
        (("",), "7.5", "not a whole number"),
        (("",), "3", "less than 4"),
        (("",), "25", "more than 24"),
        (("", ""), "0", "not above 0"),
        (("", "", ""), "", "nothing is typed"),
        (("", "", ""), "99999999999", "out of all proportion"),
    ],
)
def test_numbers_that_cannot_stand_are_refused(
    header: Header, texts: tuple[str, ...], wrong: str, what: str
) -> None:
    filling = Filling(LEVELLING, header)
    type_in(filling, *texts)
    where = label(filling)
    with pytest.raises(Refused, match=what) as refusal:
        filling.enter(wrong)
    assert refusal.value.where == where
    assert refusal.value.remedy
    assert label(filling) == where


def test_an_earlier_line_can_be_typed_over(header: Header) -> None:
    filling = Filling(LEVELLING, header)
    type_in(filling, "", "4", "", "1", "2", "3", "4")
    filling.go(3)
    filling.enter("10")
    assert filling.here is None
    assert filling.result["level_arcsec"] == [10, 2, 3, 4]


def test_readings_keep_to_their_angle(header: Header) -> None:
    filling = Filling(LEVELLING, header)
    type_in(filling, "", "4", "", "0.1", "0.2", "0.3", "0.4")
    filling.go(1)
    filling.enter("8")
    assert [slot.text for slot in filling.slots[3:]] == ["0.1", "", "0.2", "", "0.3", "", "0.4", ""]
    filling.go(1)
    filling.enter("4")
    assert filling.complete
    assert filling.result["angle_deg"] == [0, 90, 180, 270]


def test_readings_of_an_open_column_keep_to_their_number(header: Header) -> None:
    filling = Filling(WARMING, header)
    type_in(filling, "", "", "", "", "5", "4", "3", "2", "1")
    filling.go(0)
    filling.enter("2")
    assert filling.result["minute"] == [0, 2, 4, 6, 8]
    assert filling.result["reading_arcsec"] == [5, 4, 3, 2, 1]


def test_an_open_column_can_be_left_off_after_its_least(header: Header) -> None:
    filling = Filling(WARMING, header)
    type_in(filling, "", "", "", "", "5", "4", "3", "2")
    assert not filling.complete
    filling.enter("1")
    assert filling.complete
    assert label(filling) == "Reading at 5 min"
    filling.enter("0.5")
    assert len(filling.result["reading_arcsec"]) == 6


def test_proposals_follow_what_was_typed(header: Header) -> None:
    """412.53 e/D for 0.025″ (a tenth of the tolerance of 0.25″) on 200 mm: 0.01212 µm, rounded down (recomputed)."""
    filling = Filling(CENTRING, header)
    type_in(filling, "1")
    limit = next(slot for slot in filling.slots if slot.label.startswith("Limit"))
    assert limit.text == ""
    filling.enter("200")
    limit = next(slot for slot in filling.slots if slot.label.startswith("Limit"))
    assert limit.text == "0.012"
    assert not limit.typed


def test_questions_that_fall_away_are_not_recorded(header: Header) -> None:
    filling = Filling(CENTRING, header)
    type_in(filling, "2", "200", "0.1", "25")
    filling.go(0)
    filling.enter("1")
    assert not any("mirror" in slot.label for slot in filling.slots)
    filling.go(2)
    type_in(filling, "4", "5", "1", "2", "3", "4")
    assert not any("mirror" in key for key in filling.result)


def test_take_back_goes_where_it_was_typed(header: Header) -> None:
    filling = Filling(LEVELLING, header)
    type_in(filling, "", "4", "", "1", "2")
    assert filling.take_back().label == "Level at 90°"
    assert label(filling) == "Level at 90°"
    assert filling.take_back().label == "Level at 0°"
    assert filling.take_back().label == "How many angles"
    assert filling.slots[1].text == "8"
    assert not filling.touched
    with pytest.raises(Refused):
        filling.take_back()


def test_paste_fills_the_column(header: Header) -> None:
    filling = Filling(LEVELLING, header)
    type_in(filling, "", "4", "")
    filling.paste("1\n2,5\n\n-3\n4\n")
    assert filling.result["level_arcsec"] == [1, 2.5, -3, 4]
    assert filling.here is None


@pytest.mark.parametrize("text", ["1\n2\nx\n4", "1\n2\n3\n4\n5"])
def test_a_paste_is_taken_whole_or_not_at_all(header: Header, text: str) -> None:
    filling = Filling(LEVELLING, header)
    type_in(filling, "", "4", "")
    before = filling.slots
    with pytest.raises(Refused, match=r"not a number|no line left"):
        filling.paste(text)
    assert filling.slots == before
    assert label(filling) == "Level at 0°"


def test_a_reading_beyond_the_range_is_doubted_and_taken(header: Header) -> None:
    filling = Filling(WARMING, header)
    type_in(filling, "", "", "", "")
    assert filling.enter("149") == ""
    assert "beyond the instrument's range" in filling.enter("-151")
    assert filling.slots[5].text == "−151"


def test_what_was_recorded_before_is_proposed(header: Header) -> None:
    filling = Filling(
        LEVER, header, {"lever_mm": 250.0, "block_mm": 0.1, "limit_percent": 9.0, "lift_way": 2}
    )
    texts = {slot.label: slot.text for slot in filling.slots}
    assert texts["Length of the lever"] == "250"
    assert texts["Lift turns the mirror"] == "the other way"
    assert texts["Limit of the scale error"] == "1"
    assert not filling.touched


@pytest.mark.parametrize(
    "before", [{"lever_mm": -3.0}, {"lever_mm": "long"}, {"lift_way": 7}, {"lever_mm": True}]
)
def test_what_cannot_stand_is_not_proposed(header: Header, before: dict[str, object]) -> None:
    filling = Filling(LEVER, header, before)
    texts = {slot.label: slot.text for slot in filling.slots}
    assert texts["Length of the lever"] == ("1" if before.get("lever_mm") is True else "")
    assert texts["Lift turns the mirror"] == ""


def test_nothing_is_recorded_before_it_is_complete(header: Header) -> None:
    filling = Filling(LEVELLING, header)
    type_in(filling, "", "4", "", "1", "2", "3")
    with pytest.raises(Refused, match="not complete") as refusal:
        _ = filling.result
    assert refusal.value.where == "Level at 270°"
    assert filling.outcome.verdict is None


@pytest.mark.parametrize("worksheet", WORKSHEETS, ids=lambda worksheet: worksheet.name)
@pytest.mark.parametrize("unit", ["arcsec", "urad"])
def test_every_prefix_of_a_worksheet_can_be_shown(header: Header, worksheet: Worksheet, unit: str) -> None:
    """Whatever is typed so far, lines and outcome can be worked out; every hint and label says something."""
    header = replace(header, instrument=replace(header.instrument, unit=unit))
    filling = Filling(worksheet, header)
    for count in range(60):
        slot = filling.here
        assert filling.outcome.verdict is None or filling.complete
        if slot is None or (isinstance(slot.item, Column) and slot.item.open and filling.complete):
            break
        assert slot.label
        needed = {"Length of the lever": "250", "Block or difference": "0.1"}.get(slot.label, "1")
        filling.enter("" if slot.text else f"1.{count}" if isinstance(slot.item, Column) else needed)
    assert filling.complete
    assert filling.result["verdict"] in {"passes", "does not pass", "not decided"}
