"""What a person says of a table of readings beside the table itself."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from sessions.design import Direction
from sessions.import_grid import Delimiter
from sessions.import_numbers import Decimal
from solver.closure import Kind, ReadingMode

Repeated = Literal["rows", "columns"]


@dataclass(frozen=True, slots=True)
class Wanted:
    """What was said; None or empty for what is to be found in the table.

    Parameters
    ----------
    delimiter, decimal : str or None
        What parts the cells, and the decimal sign.
    cells : str
        The range of cells to read, header and steps included, as B2:E14.
    header, steps : bool or None
        Whether the first row names the runs, and whether the first column names the steps.
    positions : int or None
        Positions on the circle.
    offsets : str
        One for each run, or pair of runs forward and return; or "all".
    closing : bool or None
        Whether a closing reading is planned, and so whether the last row may be one.
    repeats : int or None
        Readings to a cell.
    repeated : "rows", "columns" or None
        Where the repeats of a cell stand side by side.
    closure, reading, direction : str or None
        As in the session file.
    """

    delimiter: Delimiter | None = None
    decimal: Decimal | None = None
    cells: str = ""
    header: bool | None = None
    steps: bool | None = None
    positions: int | None = None
    offsets: str = ""
    closing: bool | None = None
    repeats: int | None = None
    repeated: Repeated | None = None
    closure: Kind | None = None
    reading: ReadingMode | None = None
    direction: Direction | None = None
