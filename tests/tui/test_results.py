"""Numbers as they are shown, and the pane of results."""

from __future__ import annotations

import math

import numpy as np
import pytest

from sessions.rounding import decimals_for
from tests.tui.widget_demo import Stage, results, screen_text
from tui.widgets.formats import align_point, fit_number, signed, with_uncertainty
from tui.widgets.marks import ASCII, UNICODE
from tui.widgets.results import Results, ResultsView
from tui.widgets.table import Table, summary

nan = math.nan


@pytest.mark.parametrize(
    ("value", "uncertainty", "shown"),
    [
        # JCGM 100:2008, 7.2.6 (from memory): 10.057 62 ohm with 27 milliohm is given as 10.058 ohm; here to two digits.
        (10.05762, 0.027, ("+10.058", "0.027")),
        (0.12345, 0.0123, ("+0.123", "0.012")),
        (-0.12345, 0.0996, ("−0.12", "0.10")),
        (0.12345, 0.00996, ("+0.123", "0.010")),
        (-0.0004, 0.012, ("0.000", "0.012")),
        (1234.6, 123.4, ("+1230", "120")),
        (12.6, 12.3, ("+13", "12")),
        (nan, nan, ("·", "·")),
        (0.12345, nan, ("+0.123", "·")),
        (0.0, 0.0, ("0.000", "0")),
    ],
)
def test_values_are_rounded_by_their_uncertainty(
    value: float, uncertainty: float, shown: tuple[str, str]
) -> None:
    assert with_uncertainty(value, uncertainty, UNICODE) == shown


def test_two_digits_of_any_uncertainty() -> None:
    rng = np.random.default_rng(8)
    for uncertainty in 10 ** rng.uniform(-6, 4, 500):
        decimals = decimals_for(float(uncertainty))
        digits = abs(round(float(uncertainty), decimals)) * 10.0**decimals
        assert 9.99 < digits < 100.01
        assert abs(digits / 10.0**decimals - uncertainty) <= 0.5001 * 10.0**-decimals


def test_alignment_and_room() -> None:
    assert {
        align_point(text, 2).index(" ") if "." not in text else text.index(".") for text in ("1", "1.5")
    } == {1}
    assert {len(align_point(text, 3)) for text in ("1", "2.5", "3.25", "4.125")} == {5}
    assert fit_number("-12.34", 6, ASCII) == "-12.34"
    assert fit_number("-12.34", 5, ASCII) == "~"
    assert signed(-0.001, 2, ASCII) == "0.00"


def texts(lines: list[tuple[tuple[str, str], ...]]) -> list[str]:
    return ["".join(text for _, text in line) for line in lines]


def test_summary_says_how_far_and_how_good() -> None:
    said = "\n".join(texts(summary(results(12), 60, UNICODE)))
    assert "77 of 78, about 1 min left" in said
    assert "0.048″, 14 degrees of freedom" in said
    assert "0.021″, 38 degrees of freedom" in said
    assert "run 2 ·" in said
    assert "not determined" not in said


def test_summary_says_what_is_missing() -> None:
    view = results(12, known=5, missing="offsets 0 and 6 share a factor with 12; add one that does not")
    said = " ".join(texts(summary(view, 40, UNICODE)))
    assert "· not determined yet: offsets 0 and 6 share a factor with 12; add one that does not" in said


def test_many_misfits_are_said_in_short() -> None:
    view = results(24, runs=24)
    largest = max(view.misfits[:-1], key=lambda item: abs(item[1]))
    said = " ".join(texts(summary(view, 50, UNICODE)))
    assert f"largest {signed(largest[1], 3, UNICODE)}″ in {largest[0]}" in said
    assert "23 of 24 runs closed" in said


@pytest.mark.parametrize("width", [16, 20, 28, 40, 60, 120])
@pytest.mark.parametrize("view", [results(7), results(360, runs=24), results(12, known=5)])
def test_numbers_are_whole_at_any_width(width: int, view: ResultsView) -> None:
    lines = texts(summary(view, width, UNICODE))
    assert max(map(len, lines)) <= width
    assert "0.048″" in " ".join(lines)
    table = Table(view, width, UNICODE)
    for position in range(min(view.lower.size, 8)):
        row = "".join(text for _, text in table.row(position))
        for value, half in ((view.lower, view.lower_uncertainty), (view.upper, view.upper_uncertainty)):
            assert value is not None
            assert half is not None
            shown = with_uncertainty(float(value[position]), float(half[position]), UNICODE)
            assert shown[0] in row.split()
            assert width < 40 or shown[1] in row.split()


def test_columns_stand_under_their_headings() -> None:
    view = results(12)
    table = Table(view, 60, UNICODE)
    heading = texts(table.headings())[-1]
    rows = ["".join(text for _, text in table.row(position)) for position in range(12)]
    assert {len(row) for row in rows} == {len(heading)}
    assert len({tuple(i for i, character in enumerate(row) if character == ".") for row in rows}) == 1
    for name, values in (("lower", view.lower), ("upper", view.upper)):
        assert values is not None
        end = heading.index(name) + len(name)
        assert rows[3][:end].split()[-1] == signed(float(values[3]), 3, UNICODE)


def test_a_single_circle_has_one_column() -> None:
    view = ResultsView(np.zeros(6), np.full(6, 0.01))
    table = Table(view, 60, UNICODE)
    assert "upper" not in " ".join(texts(table.headings()))
    assert "".join(text for _, text in table.row(5)).split() == ["5", "300°", "0.000", "±", "0.010"]


async def test_pane_shows_every_position_by_scrolling() -> None:
    widget = Results()
    app = Stage(widget)
    async with app.run_test(size=(60, 24)) as pilot:
        widget.show(results(360))
        await pilot.pause()
        top = screen_text(widget)
        head = next(y for y, line in enumerate(top) if line.split()[:1] == ["0"])
        assert top[0].startswith("readings")
        seen = set()
        while True:
            lines = screen_text(widget)
            seen |= {int(line.split()[0]) for line in lines if line.split() and line.split()[0].isdigit()}
            assert lines[:head] == top[:head]
            before = widget.scroll_y
            assert widget.steer("pagedown")
            await pilot.pause()
            if widget.scroll_y == before:
                break
        assert seen == set(range(360))


async def test_a_low_pane_scrolls_everything() -> None:
    widget = Results()
    app = Stage(widget)
    async with app.run_test(size=(60, 8)) as pilot:
        widget.show(results(12))
        await pilot.pause()
        assert "readings" in screen_text(widget)[0]
        assert widget.steer("end")
        assert not widget.steer("enter")
        await pilot.pause()
        assert screen_text(widget)[-1].split()[0] == "11"


async def test_new_results_keep_the_place() -> None:
    widget = Results()
    async with Stage(widget).run_test(size=(60, 20)) as pilot:
        widget.show(results(72))
        await pilot.pause()
        widget.scroll_to(y=30, animate=False)
        widget.show(results(72, runs=2))
        await pilot.pause()
        assert widget.scroll_y == 30


async def test_plain_ascii() -> None:
    widget = Results(ascii_only=True)
    async with Stage(widget).run_test(size=(70, 24)) as pilot:
        widget.show(results(12, known=4, missing="needs a second offset"))
        await pilot.pause()
        assert "".join(screen_text(widget)).isascii()
