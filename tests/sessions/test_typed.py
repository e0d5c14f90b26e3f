"""What is typed becomes a number, whole, or is refused."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sessions.typed import read_column, read_number
from solver.refused import Refused


@pytest.mark.parametrize(
    ("text", "value"),
    [("0.31", 0.31), ("-0,31", -0.31), ("+.5", 0.5), ("−2", -2.0), (" 12. ", 12.0), ("1,5", 1.5)],
)
def test_numbers_with_point_or_comma(text: str, value: float) -> None:
    assert read_number(text) == value


@pytest.mark.parametrize(
    "text", ["", "-", ".", "1.2.3", "1,2,3", "1.234,5", "--1", "1-", "1e3", "0x1", "nan", "1 2", "١"]
)
def test_anything_else_is_refused(text: str) -> None:
    with pytest.raises(Refused, match="not a number"):
        read_number(text)


@given(st.decimals(min_value=-(10**6), max_value=10**6, places=4))
def test_every_decimal_reads_back(value: object) -> None:
    assert read_number(str(value)) == float(str(value))


def test_column_passes_blank_lines_and_names_the_line_it_refuses() -> None:
    assert read_column("0.1\r\n\n 0,2 \n-0.3\n") == (0.1, 0.2, -0.3)
    with pytest.raises(Refused) as refusal:
        read_column("0.1\n0.2\nx\n")
    for nothing in ("", "\n\n", " \r\n"):
        with pytest.raises(Refused, match="no number"):
            read_column(nothing)
    assert refusal.value.where == "pasted line 3"
