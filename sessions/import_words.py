"""What was understood of a table, in words: for the dry run and for the record."""

from __future__ import annotations

from itertools import groupby

from sessions.counted import counted
from sessions.import_grid import DELIMITERS, cell_name, column_name
from sessions.import_numbers import DECIMALS
from sessions.import_table import Placed, Understood


def dialect_words(found: Understood) -> str:
    """Return encoding, delimiter and decimal sign."""
    delimiter = next(name for name, sign in DELIMITERS.items() if sign == found.grid.delimiter)
    decimal = next(name for name, sign in DECIMALS.items() if sign == found.decimal)
    encoding = "Windows-1252" if found.grid.encoding == "cp1252" else found.grid.encoding.upper()
    return f"{encoding}, cells parted by {delimiter}, decimal {decimal}"


def table_words(found: Understood) -> str:
    """Return the range of cells of the readings, and where headings and steps were taken from."""
    block = found.block
    first, last = cell_name(block.rows[0], block.columns[0]), cell_name(block.rows[-1], block.columns[-1])
    words = [f"readings in {first}:{last}"]
    if block.titles:
        words.append(f"{_numbered('title in row', 'titles in rows', [row + 1 for row in block.titles])}")
    words.append("no heading row" if block.header is None else f"headings in row {block.header + 1}")
    steps = block.step_column
    words.append("steps in order" if steps is None else f"steps in column {column_name(steps)}")
    return ", ".join(words)


def row_words(found: Understood) -> str:
    """Return which rows are which steps; rows that count on are drawn together."""
    pairs = [(row + 1, step) for row, step in zip(found.block.rows, found.steps.step, strict=True)]
    parts = [_row_part(part) for part in _stretches(pairs)]
    if found.steps.reading == "position" and found.steps.positions in found.steps.step:
        parts.append(f"step {found.steps.positions} is the closing reading")
    return ", ".join(parts)


def _stretches(pairs: list[tuple[int, int]]) -> list[list[tuple[int, int]]]:
    """Cut pairs of row and step where either does not go on: same step in the next rows, or the next step."""
    cut: list[list[tuple[int, int]]] = []
    for pair in pairs:
        if cut:
            row, step = cut[-1][-1]
            many = _many(cut[-1])
            repeated = sum(1 for _, other in cut[-1] if other == step)
            goes_on = pair[0] == row + 1 and (
                (pair[1] == step and (many is None or repeated < many))
                or (pair[1] == step + 1 and (many is None or repeated == many))
            )
            if goes_on:
                cut[-1].append(pair)
                continue
        cut.append([pair])
    return cut


def _many(stretch: list[tuple[int, int]]) -> int | None:
    """Return how many rows each step of a stretch has; None while only one step is in it."""
    first = stretch[0][1]
    return sum(1 for _, step in stretch if step == first) if stretch[-1][1] != first else None


def _row_part(stretch: list[tuple[int, int]]) -> str:
    (top, first), (bottom, last) = stretch[0], stretch[-1]
    rows = f"row {top}" if top == bottom else f"rows {top} to {bottom}"
    steps = f"step {first}" if first == last else f"steps {first} to {last}"
    many = _many(stretch)
    return f"{rows}: {steps}" + (f", {many} rows each" if many and many > 1 else "")


def column_words(found: Understood) -> str:
    """Return which columns are which runs, with offsets and directions."""
    single = found.steps.closure == "single"
    runs = found.header.design.runs
    parts = []
    columns = zip(found.block.columns, found.runs.run, strict=True)
    for number, group in groupby(columns, key=lambda pair: pair[1]):
        names = [column_name(column) for column, _ in group]
        words = f"{' '.join(names)}: run {number}"
        if not single:
            words += f" offset {runs[number].offset}"
        if found.runs.direction != "forward":
            words += f" {runs[number].direction}"
        parts.append(words)
    return ", ".join(parts)


def reading_words(reading: Placed) -> str:
    """Return a reading with its cell and its place."""
    return f"{reading.cell} = {reading.value!r} (run {reading.run}, step {reading.step})"


def count_words(found: Understood) -> str:
    """Return how many readings there are, and how many cells are empty."""
    words = f"{counted(len(found.readings), 'reading')}, up to {found.repeats} in a cell"
    return (
        f"{words}, {counted(found.blanks, 'cell')} of the table empty"
        if found.blanks
        else f"{words}, none empty"
    )


def note_words(found: Understood, time: str) -> str:
    """Return the note by which every reading of an imported session is traced to its cell."""
    return "\n".join(
        [
            f"Imported from {found.file}, SHA-256 {found.sha256}.",
            f"Read as {dialect_words(found)}; {table_words(found)}; {count_words(found)}.",
            f"{row_words(found)}.",
            f"{column_words(found)}.",
            f"First {reading_words(found.readings[0])}, last {reading_words(found.readings[-1])}; "
            "repeats of a cell in the order of rows, then columns.",
            f"The table has no times: {time}.",
        ]
    )


def _numbered(one: str, more: str, numbers: list[int]) -> str:
    if len(numbers) == 1:
        return f"{one} {numbers[0]}"
    return f"{more} {' '.join(str(number) for number in numbers)}"
