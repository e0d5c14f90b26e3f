"""Awkward tables, each as some spreadsheet writes it: what is understood, and every value at its cell."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from sessions.import_table import Understood, understand
from sessions.import_wanted import Wanted

PUBLISHED = Path(__file__).parents[1] / "published"


def read(data: bytes | str, **wanted: object) -> Understood:
    raw = data if isinstance(data, bytes) else data.encode()
    return understand(raw, "table.csv", Wanted(**wanted), {})  # type: ignore[arg-type]


def values(found: Understood) -> dict[str, float]:
    return {reading.cell: reading.value for reading in found.readings}


def places(found: Understood) -> dict[str, tuple[int, int]]:
    return {reading.cell: (reading.run, reading.step) for reading in found.readings}


def design(found: Understood) -> tuple[int, tuple[int, ...], bool, int]:
    plan = found.header.design
    return plan.positions, plan.offsets, plan.closing, plan.repeats


def test_plain_commas_with_headings() -> None:
    found = read("step,offset 0,offset 1\n0,0.12,-1.5\n1,.5,2\n2,1e-2,+3.25\n3 closing,0.13,-1.4\n")
    assert design(found) == (3, (0, 1), True, 1)
    assert values(found)["B2"] == 0.12
    assert values(found)["B3"] == 0.5
    assert values(found)["B4"] == 0.01
    assert values(found)["C4"] == 3.25
    assert places(found)["C5"] == (1, 3)


def test_semicolons_decimal_commas_mark_crlf_and_blank_ends() -> None:
    """As a spreadsheet in a country of decimal commas saves it."""
    text = "\ufeffHT-04 gegen HT-11;;;\r\n;;;\r\nstep;0;1;4\r\n"
    text += "".join(f"{step};{step},1;-{step},25;7,5\r\n" for step in range(13)) + ";;;\r\n;;;\r\n"
    found = read(text.encode(), positions=12)
    assert design(found) == (12, (0, 1, 4), True, 1)
    assert found.header.title == "HT-04 gegen HT-11"
    assert values(found)["C5"] == -1.25
    assert places(found)["C5"] == (1, 1)
    assert places(found)["D16"] == (2, 12)
    assert len(found.readings) == 39


def test_windows_1252_with_its_own_minus() -> None:
    """Ü and the en dash as minus are single bytes there."""
    found = read("Prüfling;offset 0\n0;–0,5\n1;1,0\n".encode("cp1252"), steps=True, closing=False)
    assert found.grid.encoding == "cp1252"
    assert values(found) == {"B2": -0.5, "B3": 1.0}


def test_utf_16_with_tabs_and_the_minus_sign() -> None:
    """As "Unicode text" is saved."""
    text = "step\toffset 0\toffset 1\r\n0\t−0.5\t1\r\n1\t0.25\t−2\r\n"
    found = read(b"\xff\xfe" + text.encode("utf-16-le"), closing=False)
    assert found.grid.encoding == "utf-16-le"
    assert found.grid.delimiter == "\t"
    assert values(found) == {"B2": -0.5, "C2": 1.0, "B3": 0.25, "C3": -2.0}


def test_quoted_decimal_commas_between_commas() -> None:
    found = read('"step","offset 0","offset 1"\n"0","0,12","-1,5"\n"1","0,5","2,25"\n', closing=False)
    assert values(found) == {"B2": 0.12, "C2": -1.5, "B3": 0.5, "C3": 2.25}


def test_no_headings_no_steps() -> None:
    found = read("0.1,0.2\n0.3,0.4\n0.5,0.6\n0.1,0.2\n", positions=3, offsets="0 1")
    assert design(found) == (3, (0, 1), True, 1)
    assert places(found) == {f"{'AB'[run]}{step + 1}": (run, step) for run in (0, 1) for step in range(4)}


def test_delimiter_told_in_the_first_line() -> None:
    """Rows are counted without it, as a spreadsheet does not show it."""
    found = read("sep=;\r\nstep;offset 0\r\n0;1,5\r\n1;2,5\r\n", closing=False)
    assert values(found) == {"B2": 1.5, "B3": 2.5}


def test_angles_name_the_steps_and_the_closing_reading() -> None:
    rows = "".join(f"{30 * step}°;{step}.5;{step}.25\n" for step in range(13))
    found = read("Nominal angle;offset 0;offset 7\n" + rows)
    assert design(found) == (12, (0, 7), True, 1)
    assert places(found)["C14"] == (1, 12)


def test_bare_angles_and_offsets_in_degrees() -> None:
    rows = "".join(f"{22.5 * step:g},{step}.5,{step}.25\n" for step in range(16))
    found = read("angle,0°,67.5°\n" + rows)
    assert design(found) == (16, (0, 3), False, 1)
    rounded = "".join(f"{360 * step / 7:.2f},{step}.5\n" for step in range(7))
    assert read("deg,0\n" + rounded, offsets="0").header.design.positions == 7


def test_merged_step_cells_are_repeats() -> None:
    found = read(
        "step;offset 0;offset 1\n0;0.10;0.20\n;0.11;0.21\n1;0.30;0.40\n;0.31;\n2;0.5;0.6\n;0.51;0.61\n",
        closing=False,
    )
    assert design(found) == (3, (0, 1), False, 2)
    assert places(found)["B3"] == (0, 0)
    assert places(found)["C7"] == (1, 2)
    assert "C5" not in values(found)
    assert found.blanks == 1
    order = [reading.cell for reading in found.readings if reading.run == 0]
    assert order == ["B2", "B3", "B4", "B5", "B6", "B7"]


def test_the_same_steps_again_below_are_repeats() -> None:
    block = "0,1.1,2.1\n1,1.2,2.2\n2 closing,1.1,2.1\n"
    found = read("step,offset 0,offset 1\n" + block + "\n" + block)
    assert design(found) == (2, (0, 1), True, 2)
    assert places(found)["B2"] == places(found)["B6"] == (0, 0)


def test_rows_side_by_side_are_repeats_when_said() -> None:
    rows = "".join(f"{row}.5,{row}.25\n" for row in range(8))
    found = read(rows, positions=3, offsets="0 1", repeats=2, repeated="rows")
    assert design(found) == (3, (0, 1), True, 2)
    assert places(found)["A8"] == (0, 3)


def test_repeats_in_columns_by_their_labels() -> None:
    heading = ",".join(f"offset {offset} reading {number}" for offset in (0, 2) for number in (1, 2))
    found = read(f"step,{heading}\n0,1.1,1.2,2.1,2.2\n1,1.3,1.4,2.3,2.4\n2,1,1,1,1\n", closing=False)
    assert design(found) == (3, (0, 2), False, 2)
    assert places(found)["C2"] == (0, 0)
    assert places(found)["D3"] == (1, 1)


def test_the_same_offset_twice_as_said() -> None:
    text = "step,offset 0,offset 0,offset 2,offset 2\n0,1.1,1.2,2.1,2.2\n1,1.3,1.4,2.3,2.4\n2,1,1,1,1\n"
    repeated = read(text, closing=False, repeats=2, repeated="columns")
    assert design(repeated) == (3, (0, 2), False, 2)
    assert design(read(text, closing=False, repeats=2)) == (3, (0, 2), False, 2)
    apart = read(text, closing=False, repeats=1)
    assert design(apart) == (3, (0, 0, 2, 2), False, 1)
    both = read(text, closing=False, direction="forward and return")
    assert both.header.design.direction == "forward and return"
    assert design(both) == (3, (0, 2), False, 1)
    # A return run is taken from its last step down.
    assert [reading.cell for reading in both.readings if reading.run == 1] == ["C4", "C3", "C2"]


def test_forward_and_return_by_their_labels() -> None:
    found = read("step,offset 1 forward,offset 1 return\n0,1.5,2.5\n1,3.5,4.5\n", closing=False)
    assert found.header.design.direction == "forward and return"
    assert found.header.design.offsets == (1,)


def test_a_title_to_the_left_of_its_table_and_spacing_columns() -> None:
    text = "Test of the polygon,,,,\n,,,,\n,step,offset 0,,offset 1\n,0,1.5,,2.5\n,1,3.5,,4.5\n"
    found = read(text, closing=False)
    assert values(found) == {"C4": 1.5, "E4": 2.5, "C5": 3.5, "E5": 4.5}
    assert design(found)[1] == (0, 1)


def test_a_range_of_a_larger_sheet() -> None:
    text = "x;1;2;3;mean\nstep;offset 0;offset 1;;\n0;1,5;2,5;;2,0\n1;3,5;4,5;;4,0\nmean;2,5;3,5;;\n"
    found = read(text, closing=False, cells="A2:C4")
    assert values(found) == {"B3": 1.5, "C3": 2.5, "B4": 3.5, "C4": 4.5}


def test_a_quoted_heading_over_two_lines_is_one_row() -> None:
    found = read('step,"offset 0\n(Monday, first)",offset 1\n0,1.5,2.5\n1,3.5,4.5\n', closing=False)
    assert values(found)["C3"] == 4.5


def test_macintosh_line_ends() -> None:
    found = read("step,offset 0\r0,1.5\r1,2.5\r", closing=False)
    assert values(found) == {"B2": 1.5, "B3": 2.5}


def test_rows_cut_short_are_blank_at_their_end() -> None:
    found = read("step,offset 0,offset 1\n0,1.5,2.5\n1,3.5\n2,5.5,6.5\n", closing=False)
    assert set(values(found)) == {"B2", "C2", "B3", "B4", "C4"}


def test_a_run_not_begun_keeps_its_column() -> None:
    found = read("step,offset 0,offset 1,offset 4\n0,1.5,2.5,\n1,3.5,4.5,\n", positions=12)
    assert design(found) == (12, (0, 1, 4), False, 1)


def test_intervals_are_numbered_from_1() -> None:
    found = read(
        "interval,offset 0,offset 1\n1,1.5,2.5\n2,3.5,4.5\n3,0.5,0.5\n", reading="interval", steps=True
    )
    assert found.header.design.reading == "interval"
    assert design(found)[0] == 3
    assert places(found)["B2"] == (0, 1)
    unlabelled = read("1.5,2.5\n3.5,4.5\n0.5,0.5\n", reading="interval", offsets="0 1")
    assert places(unlabelled)["B3"] == (1, 3)


def test_a_single_closure_needs_no_offsets() -> None:
    found = read("1.5;2.5\n3.5;4.5\n-5;-7\n", closure="single")
    assert found.header.design.closure == "single"
    assert design(found) == (3, (0, 0), False, 1)
    assert places(found)["B1"] == (1, 1)
    column = read("1,5\n3,5\n-5\n", closure="single", decimal=",", delimiter=";")
    assert values(column) == {"A1": 1.5, "A2": 3.5, "A3": -5.0}


def test_offsets_all_and_headings_that_count_to_the_end() -> None:
    rows = "".join(f"{step},{step}.5,{step}.25,{step}.75\n" for step in range(3))
    assert design(read("t,1,2,3\n" + rows, offsets="all", closing=False))[1] == (0, 1, 2)
    assert design(read("t,0,1,2\n" + rows, closing=False))[1] == (0, 1, 2)
    assert design(read("step / offset,0,1\n0,1.5,2.5\n1,1.5,2.5\n2,1.5,2.5\n", closing=False))[1] == (0, 1)


def test_the_handbooks_latin_square_as_whole_numbers_between_commas() -> None:
    """Montgomery's example (read in course copies) as a matrix: step = row, offset = row + column mod 5."""
    with (PUBLISHED / "latin_square_5x5.csv").open(encoding="utf-8") as file:
        cells = {(int(row["row"]) - 1, int(row["col"]) - 1): row["y"] for row in csv.DictReader(file)}
    lines = [",".join(cells[step, (run - step) % 5] for run in range(5)) for step in range(5)]
    found = read("\n".join(lines), positions=5, offsets="all")
    assert design(found) == (5, (0, 1, 2, 3, 4), False, 1)
    assert {(r.run, r.step): r.value for r in found.readings} == {
        (run, step): float(cells[step, (run - step) % 5]) for run in range(5) for step in range(5)
    }


@pytest.mark.parametrize("blank", ["", " ", "\u00a0", '""'])
def test_cells_that_look_blank_are_blank(blank: str) -> None:
    found = read(f"step,offset 0,offset 1\n0,1.5,{blank}\n1,2.5,3.5\n", closing=False)
    assert set(values(found)) == {"B2", "B3", "C3"}
