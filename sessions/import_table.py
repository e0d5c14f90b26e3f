"""A spreadsheet's matrix understood: every reading with its cell, and the session that it makes."""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import PurePath
from typing import Any

from sessions.header import FORMAT, VERSION, Header, read_header
from sessions.import_block import Block, find_block
from sessions.import_grid import Grid, cell_name, read_grid
from sessions.import_numbers import Decimal, find_decimal, number
from sessions.import_runs import Runs, find_runs
from sessions.import_steps import Steps, find_steps
from sessions.import_wanted import Wanted
from solver.refused import Refused

_LIST_OF_READINGS = ("entry", "time", "run", "offset", "step", "value")


@dataclass(frozen=True, slots=True)
class Placed:
    """A reading: the cell it stands in, its place in the session, and its value in the instrument's unit."""

    cell: str
    run: int
    step: int
    value: float


@dataclass(frozen=True, slots=True)
class Understood:
    """What a table was understood to be.

    Parameters
    ----------
    file, sha256 : str
        Name of the file and the SHA-256 of its bytes.
    grid, block, steps, runs
        Its cells, their parts, the rows and the columns.
    decimal : str
        The decimal sign.
    header : Header
        Of the session that it makes.
    readings : tuple of Placed
        In the order in which the bench takes them: run by run, a return run from its last step.
    blanks : int
        Empty cells among the rows and columns of readings.
    """

    file: str
    sha256: str
    grid: Grid
    block: Block
    steps: Steps
    runs: Runs
    decimal: Decimal
    header: Header
    readings: tuple[Placed, ...]
    blanks: int

    @property
    def repeats(self) -> int:
        """The most readings in a cell."""
        return max(Counter((reading.run, reading.step) for reading in self.readings).values())


def understand(data: bytes, file: str, wanted: Wanted, fields: Mapping[str, Any]) -> Understood:
    """Understand a table, or refuse to guess.

    Parameters
    ----------
    data : bytes
        Of the CSV file.
    file : str
        Its name.
    wanted : Wanted
        What was said about the table.
    fields : mapping
        Further fields of the session's header, in tables as in the file; the design is found in the table.

    Raises
    ------
    Refused
        With the cell, row or column in `where`, and what would settle it.
    """
    grid = read_grid(data, file, wanted.delimiter)
    _refuse_list(grid, file)
    block = find_block(grid, wanted, file)
    filled = [
        (row, column, cell_name(row, column))
        for row in block.rows
        for column in block.columns
        if block.text(row, column)
    ]
    named = [(name, block.text(row, column)) for row, column, name in filled]
    if not named:
        raise Refused("there are no readings in the table", where=file, remedy="check the file")
    _refuse_split_numbers(block, wanted)
    decimal = wanted.decimal or find_decimal(named, grid.delimiter)
    values = {name: number((name, text), decimal) for name, text in named}
    steps = find_steps(block, wanted)
    runs = find_runs(block, steps, wanted)
    run_of = dict(zip(block.columns, runs.run, strict=True))
    step_of = dict(zip(block.rows, steps.step, strict=True))
    placed = [Placed(name, run_of[column], step_of[row], values[name]) for row, column, name in filled]
    both = runs.direction == "forward and return"
    # The sort is stable, so the repeats of a cell keep the order of the table.
    placed.sort(key=lambda each: (each.run, -each.step if both and each.run % 2 else each.step))
    repeats = _repeats(placed, wanted)
    return Understood(
        file,
        hashlib.sha256(data).hexdigest(),
        grid,
        block,
        steps,
        runs,
        decimal,
        _header(steps, runs, repeats, {"title": _title(block, file)} | dict(fields)),
        tuple(placed),
        len(block.rows) * len(block.columns) - len(filled),
    )


def _refuse_list(grid: Grid, file: str) -> None:
    first = tuple(text.lower() for text in grid.rows[0][: len(_LIST_OF_READINGS)]) if grid.rows else ()
    if first == _LIST_OF_READINGS:
        raise Refused(
            "this is a list of readings, not a matrix of steps and runs",
            where=file,
            remedy="export it again without --long, or open the session itself",
        )


def _refuse_split_numbers(block: Block, wanted: Wanted) -> None:
    """Refuse cells that look like numbers cut in two at a decimal comma, in a file parted by commas."""
    if block.grid.delimiter != "," or wanted.delimiter or wanted.decimal or block.header is not None:
        return
    if len(block.columns) % 2:
        return
    rows = [[block.text(row, column) for column in block.columns] for row in block.rows]
    fractions = [text for row in rows for text in row[1::2] if text]
    wholes = [text for row in rows for text in row[::2] if text]
    digits = {len(text) for text in fractions if text.isascii() and text.isdigit()}
    one_length = len(digits) == 1 and all(text.isascii() and text.isdigit() for text in fractions)
    if one_length and not any("." in text or "," in text for text in wholes):
        raise Refused(
            "only whole numbers between commas: each comma may part two cells, or be a decimal comma",
            where=cell_name(block.rows[0], block.columns[0]),
            remedy="save the sheet parted by semicolons, or say --delimiter comma if the numbers are whole",
        )


def _repeats(placed: list[Placed], wanted: Wanted) -> int:
    count: dict[tuple[int, int], int] = {}
    for each in placed:
        place = each.run, each.step
        count[place] = count.get(place, 0) + 1
        if wanted.repeats is not None and count[place] > wanted.repeats:
            raise Refused(
                f"this is reading {count[place]} of run {each.run}, step {each.step}, and --repeats says "
                f"{wanted.repeats}",
                where=each.cell,
                remedy="check --repeats and the labels",
            )
    return wanted.repeats or max(count.values())


def _title(block: Block, file: str) -> str:
    """Return the titles above the table, or the name of the file."""
    texts = [text for row in block.titles for text in block.grid.rows[row] if text]
    return ", ".join(texts) or PurePath(file).stem


def _header(steps: Steps, runs: Runs, repeats: int, fields: Mapping[str, Any]) -> Header:
    design = {
        "closure": steps.closure,
        "reading": steps.reading,
        "positions": steps.positions,
        "offsets": list(runs.offsets),
        "direction": runs.direction,
        "closing": steps.closing,
        "repeats": repeats,
    }
    table = {**fields, "format": FORMAT, "version": VERSION, "design": design | fields.get("design", {})}
    return read_header(table)
