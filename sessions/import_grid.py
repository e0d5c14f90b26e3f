"""A CSV file as a grid of cells, named as a spreadsheet names them."""

from __future__ import annotations

import codecs
import csv
import io
import re
from dataclasses import dataclass
from typing import Literal

from solver.refused import Refused

Delimiter = Literal[",", ";", "\t"]

#: Signs that may part cells, in the order in which they are looked for: a number holds no tab and no semicolon.
DELIMITERS: dict[str, Delimiter] = {"tab": "\t", "semicolon": ";", "comma": ","}
_BLANKS = " \t\r\n\u00a0\u2007\u2009\u202f\u200b\ufeff"
_BOMS = ((codecs.BOM_UTF8, "utf-8"), (codecs.BOM_UTF16_LE, "utf-16-le"), (codecs.BOM_UTF16_BE, "utf-16-be"))
_WORKBOOKS = (b"PK\x03\x04", b"\xd0\xcf\x11\xe0")


@dataclass(frozen=True, slots=True)
class Grid:
    """Cells of a file: stripped texts, empty for blank ones, all rows of one length.

    Parameters
    ----------
    rows : tuple of tuple of str
        Row r, column c of the spreadsheet at [r - 1][c - 1].
    encoding, delimiter : str
        As they were found.
    """

    rows: tuple[tuple[str, ...], ...]
    encoding: str
    delimiter: Delimiter


@dataclass(frozen=True, slots=True)
class Area:
    """A rectangle of cells, counted from 0, ends included."""

    top: int
    left: int
    bottom: int
    right: int


def cell_name(row: int, column: int) -> str:
    """Return the name of a cell, both counted from 0: (6, 2) is C7."""
    return f"{column_name(column)}{row + 1}"


def column_name(column: int) -> str:
    """Return the letters of a column counted from 0: 0 is A, 26 is AA."""
    letters = ""
    column += 1
    while column:
        column, place = divmod(column - 1, 26)
        letters = chr(ord("A") + place) + letters
    return letters


def read_area(text: str) -> Area:
    """Read a range of cells such as B2:E14.

    Raises
    ------
    Refused
        If it is none.
    """
    found = re.fullmatch(r"\s*([A-Za-z]{1,3})([1-9]\d{0,6}):([A-Za-z]{1,3})([1-9]\d{0,6})\s*", text)
    if not found:
        raise Refused(f"“{text}” is no range of cells", where="--cells", remedy="write it like B2:E14")
    left, right = (_column(found[group]) for group in (1, 3))
    top, bottom = (int(found[group]) - 1 for group in (2, 4))
    if left > right or top > bottom:
        raise Refused(f"“{text}” ends before it begins", where="--cells", remedy="write it like B2:E14")
    return Area(top, left, bottom, right)


def _column(letters: str) -> int:
    number = 0
    for letter in letters.upper():
        number = 26 * number + ord(letter) - ord("A") + 1
    return number - 1


def read_grid(data: bytes, file: str, delimiter: Delimiter | None = None) -> Grid:
    """Read the bytes of a CSV file.

    Parameters
    ----------
    data : bytes
        UTF-8 or UTF-16 with a byte-order mark, UTF-8 without one, or else Windows-1252.
    file : str
        Its name, for refusals.
    delimiter : str, optional
        What parts the cells; by default it is found.

    Raises
    ------
    Refused
        Where it is no text, or its quotes do not close.
    """
    text, encoding = _decoded(data, file)
    hint = re.match(r"sep=([,;\t])\r?\n?", text)
    if hint:
        # The first line by which spreadsheets are told the delimiter; it is none of their rows.
        text = text[hint.end() :]
        delimiter = delimiter or next(sign for sign in DELIMITERS.values() if sign == hint[1])
    rows, found = _rows(text, file, delimiter)
    width = max((len(row) for row in rows), default=0)
    return Grid(tuple(tuple(row) + ("",) * (width - len(row)) for row in rows), encoding, found)


def _decoded(data: bytes, file: str) -> tuple[str, str]:
    if data.startswith(_WORKBOOKS):
        raise Refused(
            "this is a workbook, not a CSV file",
            where=file,
            remedy="save the sheet as CSV in the spreadsheet",
        )
    for mark, encoding in _BOMS:
        if data.startswith(mark):
            return _decode(data[len(mark) :], encoding, file), encoding
    try:
        return _printable(data.decode("utf-8"), file), "utf-8"
    except UnicodeDecodeError:
        return _decode(data, "cp1252", file), "cp1252"


def _decode(data: bytes, encoding: str, file: str) -> str:
    try:
        return _printable(data.decode(encoding), file)
    except UnicodeDecodeError as error:
        raise Refused(
            f"byte {error.start + 1} is no text in the encoding {encoding}",
            where=file,
            remedy="save the sheet again as CSV, in UTF-8",
        ) from error


def _printable(text: str, file: str) -> str:
    if "\0" in text:
        raise Refused(
            "this is no text: it holds null characters", where=file, remedy="save the sheet as CSV, in UTF-8"
        )
    return text


def _rows(text: str, file: str, delimiter: Delimiter | None) -> tuple[list[list[str]], Delimiter]:
    if delimiter:
        return _parsed(text, file, delimiter), delimiter
    failure: Refused | None = None
    for candidate in DELIMITERS.values():
        try:
            rows = _parsed(text, file, candidate)
        except Refused as refused:
            # The quotes may still close with another delimiter.
            failure = failure or refused
            continue
        filled = [row for row in rows if any(row)] or rows
        if filled and 2 * sum(len(row) > 1 for row in filled) >= len(filled):
            return rows, candidate
    if failure is not None:
        raise failure
    # A single column: nothing parts its cells, so a sign that does not occur will do.
    unused: Delimiter = next((sign for sign in DELIMITERS.values() if sign not in text), ";")
    return _parsed(text, file, unused), unused


def _parsed(text: str, file: str, delimiter: Delimiter) -> list[list[str]]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    try:
        return [[cell.strip(_BLANKS) for cell in row] for row in reader]
    except csv.Error as error:
        raise Refused(
            f"the quotes or line ends are not those of a CSV file ({error})",
            where=f"{file}, line {reader.line_num}",
            remedy="put the line right, or name the delimiter with --delimiter",
        ) from error
