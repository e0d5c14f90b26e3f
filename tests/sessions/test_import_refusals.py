"""What may be more than one thing is refused, with the cell and with what would settle it."""

from __future__ import annotations

import pytest

from sessions.import_grid import cell_name, column_name, read_area
from sessions.import_table import understand
from sessions.import_wanted import Wanted
from solver.refused import Refused

HEADED = "step,offset 0,offset 1\n0,1.5,2.5\n1,3.5,4.5\n2,5.5,6.5\n"


def refused(data: bytes | str, **wanted: object) -> Refused:
    raw = data if isinstance(data, bytes) else data.encode()
    with pytest.raises(Refused) as found:
        understand(raw, "table.csv", Wanted(**wanted), {})  # type: ignore[arg-type]
    assert found.value.where
    assert found.value.remedy
    return found.value


@pytest.mark.parametrize(
    ("text", "cell", "what"),
    [
        ("1 234,5", "B2", "marks thousands"),
        ("1\u00a0234", "B2", "marks thousands"),
        ("1\u202f234,5", "B2", "marks thousands"),
        ("1.234,5", "B2", "marks thousands"),
        ("1'234", "B2", "marks thousands"),
        ("(0,12)", "B2", "is not a number"),
        ("0,12″", "B2", "is not a number"),
        ("n/a", "B2", "is not a number"),
        ("-", "B2", "is not a number"),
        ("#DIV/0!", "B2", "is not a number"),
        ("inf", "B2", "is not a number"),
        ("0,1,2", "B2", "is not a number"),
        ("1e999", "B2", "too large"),
        ("1e300", "B2", "too large"),
        ("-1e300", "B2", "too large"),
        ("٣", "B2", "is not a number"),
    ],
)
def test_what_is_no_number_is_refused_at_its_cell(text: str, cell: str, what: str) -> None:
    found = refused(f"step;offset 0;offset 1\n0;{text};0,5\n1;0,25;0,75\n", closing=False, decimal=",")
    assert found.where == cell
    assert what in found.what


def test_comma_and_point_in_one_table() -> None:
    found = refused("step;offset 0\n0;1,5\n1;2.5\n", closing=False)
    assert "B2 holds “1,5”" in found.what
    assert "B3 holds “2.5”" in found.what
    assert refused("step;offset 0\n0;1,5\n1;2.5\n", closing=False, decimal=",").where == "B3"


def test_three_digits_after_the_sign_may_be_thousands() -> None:
    text = "step;offset 0\n0;1,500\n1;2,500\n"
    assert "--decimal" in refused(text, closing=False).remedy
    assert understand(text.encode(), "t", Wanted(closing=False, decimal=","), {}).readings[0].value == 1.5
    found = understand(b"step;offset 0\n0;0,500\n1;2,500\n", "t", Wanted(closing=False), {})
    assert found.readings[1].value == 2.5


def test_numbers_cut_at_decimal_commas() -> None:
    """0,12 and 0,50 side by side, parted by commas and unquoted: broken by the program that wrote it."""
    found = refused("12,12,7,50\n13,25,0,75\n", positions=2, offsets="0 1")
    assert "semicolons" in found.remedy


def test_the_number_of_positions_is_not_guessed() -> None:
    assert "2 positions with a closing reading, or 3 without" in refused(HEADED).what
    assert "--positions 3, or --positions 4" in refused("1.5\n2.5\n3.5\n4.5\n", offsets="0").remedy


def test_rows_that_do_not_fit_the_positions() -> None:
    assert "there are 3 rows" in refused("1.5\n2.5\n3.5\n", positions=5, offsets="0").what
    assert "--repeats 2 rows" in refused("1.5\n2.5\n3.5\n4.5\n", positions=2, offsets="0").remedy
    assert (
        "3 rows cannot be 2 to a step"
        in refused("1.5\n2.5\n3.5\n", positions=3, offsets="0", repeats=2, repeated="rows").what
    )
    assert refused(HEADED, positions=1).where == "A4"
    assert "--no-closing" in refused(HEADED, positions=2, closing=False).what
    assert "5 positions make 5, " not in refused(HEADED.replace("\n2,", "\n9,"), positions=5).what


def test_a_first_row_of_small_whole_numbers() -> None:
    text = "0,1\n1.5,2.5\n3.5,4.5\n5.5,6.5\n"
    assert "--header or --no-header" in refused(text).remedy
    assert "--header or --no-header" in refused(text, positions=3).remedy
    # The number of rows settles it where the closing reading is known.
    found = understand(text.encode(), "t", Wanted(positions=3, closing=False, offsets="0 1"), {})
    assert found.block.header == 0
    found = understand(text.encode(), "t", Wanted(positions=3, closing=True, offsets="0 1"), {})
    assert found.block.header is None


def test_headings_that_count_up() -> None:
    assert "numbers of the runs" in refused("t,1,2\n0,1.5,2.5\n1,3.5,4.5\n2,5.5,6.5\n", closing=False).what


def test_offsets_not_given_unknown_or_too_large() -> None:
    assert "--offsets" in refused("1.5,2.5\n3.5,4.5\n", positions=2).remedy
    found = refused("step,Monday,Tuesday\n0,1.5,2.5\n1,3.5,4.5\n", closing=False)
    assert (found.where, found.what) == ("B1", "“Monday” names no offset")
    assert refused("step,offset 0,offset 3\n0,1.5,2.5\n1,3.5,4.5\n", closing=False).where == "C1"
    assert refused("step,0°,50°\n0,1.5,2.5\n1,3.5,4.5\n", closing=False).where == "C1"
    assert "is no offset" in refused(HEADED, closing=False, offsets="0 x").what
    assert "2 runs, and 3 offsets" in refused(HEADED, closing=False, offsets="0 1 2").what
    assert refused(HEADED, closing=False, offsets="0 2").where == "C1"


def test_the_same_offset_twice() -> None:
    found = refused("step,offset 0,offset 0\n0,1.5,2.5\n1,3.5,4.5\n", closing=False)
    assert found.where == "C1"
    assert "--repeats N columns" in found.remedy
    assert "is reading 2" in refused("step,offset 0\n0,1.5\n0,2.5\n1,3.5\n", closing=False, repeats=1).what


def test_repeats_that_do_not_fit_the_columns() -> None:
    wanted = {"closing": False, "repeats": 2, "repeated": "columns"}
    assert (
        "3 columns cannot be 2"
        in refused("1.5,2.5,3.5\n1.5,2.5,3.5\n", offsets="0", positions=2, **wanted).what
    )
    assert refused("step,offset 0,offset 1\n0,1.5,2.5\n1,3.5,4.5\n", **wanted).where == "C1"


def test_forward_and_return_must_go_in_turn() -> None:
    text = "step,offset 0 forward,offset 1 return\n0,1.5,2.5\n1,3.5,4.5\n"
    assert "in turn" in refused(text, closing=False).what
    assert "drop --direction" in refused(text, closing=False, direction="forward").remedy


def test_steps_that_are_none() -> None:
    assert refused("step,offset 0\n0,1.5\nmean,2.5\n", closing=False).where == "A3"
    assert refused("step,offset 0\n,1.5\n1,2.5\n", closing=False).where == "A2"
    assert refused("angle,offset 0\n0,1.5\n100.5,2.5\n120,3.5\n", closing=False).where == "A3"
    assert "not 4" in refused("angle,offset 0\n0,1.5\n120,2.5\n240,3.5\n", positions=4).what
    assert "one angle alone" in refused("angle,offset 0\n0,1.5\n", positions=4).what
    found = refused("step,offset 0\n1,1.5\n2,2.5\n3,2.5\n")
    assert "--reading" in found.remedy
    assert "by position" in refused("step,offset 0\n0,1.5\n5,2.5\n", positions=4).what
    assert "no heading" in refused(",offset 0\n1.5,1.5\n2.5,2.5\n", closing=False).what


def test_what_the_headings_and_the_options_say_must_agree() -> None:
    assert (
        "the heading says 12 positions"
        in refused(HEADED.replace("step", "step (12 positions)"), positions=6).what
    )
    text = "step,offset 0\n0,1.5\n1,2.5\n3 closing,1.5\n"
    assert "the closing reading of 4" in refused(text, positions=4).what


def test_gaps_that_may_mean_something() -> None:
    assert refused("1.5\n\n2.5\n", positions=2, offsets="0", delimiter=",").where == "row 2"
    assert refused("1.5,,2.5\n3.5,,4.5\n", positions=2, offsets="0 1").where == "column B"
    assert refused("step,offset 0,\n0,1.5,2.5\n1,3.5,\n", closing=False).where == "C2"


def test_a_bad_number_in_the_first_row_is_not_taken_for_a_heading() -> None:
    assert refused("0.5,n/a\n1.5,2.5\n", positions=2, offsets="0 1").where == "B1"


def test_files_that_are_no_tables() -> None:
    assert "workbook" in refused(b"PK\x03\x04rest").what
    assert "workbook" in refused(b"\xd0\xcf\x11\xe0rest").what
    assert "no cell" in refused(b"").what
    assert "no cell" in refused(b" ; ;\n;;\n").what
    assert "null" in refused(b"1,2\x00,3\n").what
    assert "byte 3" in refused(b"1;\x81\n").what
    assert "byte" in refused(b"\xff\xfea").what
    assert "no readings" in refused("step,offset 0\n").what
    assert "no readings" in refused("step,offset 0\n0,\n1,\n", closing=False).what
    found = refused('step,offset 0\n0,"1.5\n1,2.5\n')
    assert "line" in found.where
    long = "entry,time,run,offset,step,value,status,reason\n1,x,0,0,0,1.5,accepted,\n"
    assert "list of readings" in refused(long).what


def test_ranges_of_cells() -> None:
    assert "no range" in refused(HEADED, cells="B2").what
    assert "ends before" in refused(HEADED, cells="C4:B2").what
    assert "ends at C4" in refused(HEADED, cells="A1:D4").what


def test_names_of_cells() -> None:
    assert [column_name(column) for column in (0, 25, 26, 701, 702)] == ["A", "Z", "AA", "ZZ", "AAA"]
    assert cell_name(6, 2) == "C7"
    area = read_area("aa2:AB14")
    assert (area.top, area.left, area.bottom, area.right) == (1, 26, 13, 27)
