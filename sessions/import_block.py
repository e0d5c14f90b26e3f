"""What is what in a grid: titles, the heading row, the column of steps, and the readings."""

from __future__ import annotations

from dataclasses import dataclass

from sessions.import_grid import Area, Grid, cell_name, column_name, read_area
from sessions.import_labels import Corner, StepLabel, corner, run_label, step_label
from sessions.import_numbers import looks_numeric, whole
from sessions.import_wanted import Wanted
from solver.refused import Refused

#: Angles are written rounded, to hundredths of a degree at the coarsest.
ROUNDED = 0.01


@dataclass(frozen=True, slots=True)
class Block:
    """The parts of a table; rows and columns are those of the grid, from 0.

    Parameters
    ----------
    grid : Grid
        All cells.
    titles : tuple of int
        Rows above the table with one text each.
    header : int or None
        The row that names the runs.
    step_column : int or None
        The column that names the steps.
    corner : Corner
        What the heading of that column says.
    rows, columns : tuple of int
        Where the readings stand.
    labels : tuple of StepLabel, or None
        One for each of the rows; None where no column names them.
    """

    grid: Grid
    titles: tuple[int, ...]
    header: int | None
    step_column: int | None
    corner: Corner
    rows: tuple[int, ...]
    columns: tuple[int, ...]
    labels: tuple[StepLabel, ...] | None

    def text(self, row: int, column: int) -> str:
        """Return the text of a cell."""
        return self.grid.rows[row][column]

    def label_name(self, row: int) -> str:
        """Return the name of the cell that names the step of a row."""
        return cell_name(row, self.columns[0] if self.step_column is None else self.step_column)

    def heading(self, column: int) -> str:
        """Return the heading of a column, empty where there is none."""
        return "" if self.header is None else self.text(self.header, column)


def find_block(grid: Grid, wanted: Wanted, file: str) -> Block:
    """Find the parts of a table.

    Raises
    ------
    Refused
        Where a row or a column may be more than one thing, saying what would settle it.
    """
    area = _area(grid, wanted, file)
    rows = list(range(area.top, area.bottom + 1))
    columns = list(range(area.left, area.right + 1))
    texts = _Texts(grid, columns)
    titles = []
    while wanted.header is not False and len(columns) > 1 and len(rows) > 1 and texts.is_title(rows[0]):
        titles.append(rows.pop(0))
    while len(columns) > 1 and not any(grid.rows[row][columns[0]] for row in rows):
        # A title may begin to the left of its table.
        columns.pop(0)
    texts = _Texts(grid, columns)
    header = rows.pop(0) if _is_header(texts, rows, wanted) else None
    filled = [row for row in rows if texts.filled(row)]
    if not filled:
        raise Refused("there are no readings below the heading row", where=file, remedy="check the file")
    what = Corner() if header is None else corner(grid.rows[header][columns[0]])
    labels = _labels(texts, filled, what, header, wanted)
    step_column = columns.pop(0) if labels is not None else None
    if labels is None:
        _no_gap(rows, filled)
    return Block(
        grid,
        tuple(titles),
        header,
        step_column,
        what if labels is not None or what.positions else Corner(),
        tuple(filled),
        _columns(grid, columns, header, filled),
        labels,
    )


def _area(grid: Grid, wanted: Wanted, file: str) -> Area:
    height, width = len(grid.rows), len(grid.rows[0]) if grid.rows else 0
    if wanted.cells:
        area = read_area(wanted.cells)
        if area.bottom >= height or area.right >= width:
            last = cell_name(height - 1, width - 1) if height and width else "nothing"
            raise Refused(
                f"the range {wanted.cells} goes beyond the table, which ends at {last}",
                where="--cells",
                remedy="give a range inside it",
            )
        return area
    rows = [row for row in range(height) if any(grid.rows[row])]
    if not rows:
        raise Refused("the file holds no cell with anything in it", where=file, remedy="check the file")
    columns = [column for column in range(width) if any(row[column] for row in grid.rows)]
    return Area(rows[0], columns[0], rows[-1], columns[-1])


class _Texts:
    """The cells of the columns that are read, row by row."""

    def __init__(self, grid: Grid, columns: list[int]) -> None:
        self._grid = grid
        self._columns = list(columns)

    def row(self, row: int) -> list[str]:
        return [self._grid.rows[row][column] for column in self._columns]

    def first(self, row: int) -> str:
        return self._grid.rows[row][self._columns[0]]

    def filled(self, row: int) -> bool:
        return any(self.row(row))

    def is_title(self, row: int) -> bool:
        """Whether a row is blank, or has one text that is no label and no number."""
        texts = [text for text in self.row(row) if text]
        if len(texts) != 1:
            return not texts
        return not (looks_numeric(texts[0]) or step_label(texts[0]) or run_label(texts[0]).says_something)

    def name(self, row: int, place: int) -> str:
        return cell_name(row, self._columns[place])


def _is_header(texts: _Texts, rows: list[int], wanted: Wanted) -> bool:
    """Tell whether the first row names the runs."""
    if wanted.header is not None:
        return wanted.header
    row = texts.row(rows[0])
    first, others = row[0], row[1:]
    words = [place for place, text in enumerate(others, start=1) if text and not looks_numeric(text)]
    if words:
        if any(text and looks_numeric(text) and whole(text) is None for text in row):
            raise Refused(
                f"“{row[words[0]]}” is not a number, and the row holds readings",
                where=texts.name(rows[0], words[0]),
                remedy="put it right, or leave the cell empty where there is no reading",
            )
        return True
    if first and not looks_numeric(first) and (not others or step_label(first) is None):
        return True
    if len(rows) > 1 and not first and any(others) and texts.first(rows[1]):
        return True
    return _may_be_offsets(texts, rows, wanted)


def _may_be_offsets(texts: _Texts, rows: list[int], wanted: Wanted) -> bool:
    """Decide on a first row of whole numbers by the number of rows, or refuse to guess."""
    row = [text for text in texts.row(rows[0]) if text]
    numbers = [whole(text) for text in row]
    if any(number is None or number >= len(rows) for number in numbers):
        return False
    if wanted.steps is not False and _looks_like_steps([texts.first(each) for each in rows]):
        return False
    if wanted.positions is not None:
        many = wanted.repeats or 1 if wanted.repeated == "rows" else 1
        ends = [extra for extra in (0, 1) if wanted.closing is None or extra == int(wanted.closing)]
        fits = [(wanted.positions + extra) * many for extra in ends]
        with_it, without = len(rows) in fits, len(rows) - 1 in fits
        if with_it != without:
            return without
    raise Refused(
        "the first row holds small whole numbers: offsets or readings",
        where=f"row {rows[0] + 1}",
        remedy="say --header or --no-header",
    )


def _looks_like_steps(texts: list[str]) -> bool:
    """Tell whether texts are steps from 0 or 1 up, or angles of a full turn, each perhaps more than once."""
    labels = [step_label(text) for text in texts if text]
    if not labels or None in labels or not texts[0]:
        return False
    if not all(looks_numeric(text) for text in texts if text):
        return True
    values = sorted({label.value for label in labels if label is not None})
    return _are_steps(values) or _are_angles(values)


def _are_steps(values: list[float]) -> bool:
    if len(values) < 2 or values[0] not in (0, 1):
        return False
    return values == [values[0] + place for place in range(len(values))]


def _are_angles(values: list[float]) -> bool:
    """Tell whether numbers are equal steps round a whole turn, from 0 or from the first step on."""
    if len(values) < 2:
        return False
    apart = values[1] - values[0]
    positions = round(360 / apart)
    if positions < 2 or values[0] > apart + ROUNDED or values[-1] + apart < 360 - ROUNDED:
        return False
    return all(abs(value - round(value * positions / 360) * 360 / positions) <= ROUNDED for value in values)


def _labels(
    texts: _Texts, rows: list[int], what: Corner, header: int | None, wanted: Wanted
) -> tuple[StepLabel, ...] | None:
    """Return the labels of the rows where the first column names them; a blank one goes on with that above."""
    first = [texts.first(row) for row in rows]
    if wanted.steps is False or len(texts.row(rows[0])) < 2:
        return None
    blank_corner = header is not None and not texts.first(header)
    if not (wanted.steps or what.steps or _looks_like_steps(first)):
        if blank_corner and any(first):
            place = next(at for at, text in enumerate(first) if text)
            raise Refused(
                "the first column has no heading: steps or readings",
                where=texts.name(rows[place], 0),
                remedy="say --steps or --no-steps, or head the column with “step”",
            )
        return None
    found: list[StepLabel] = []
    for row, text in zip(rows, first, strict=True):
        label = step_label(text) if text else (found[-1] if found else None)
        if label is None:
            raise Refused(
                f"“{text}” is no step" if text else "the first row of readings names no step",
                where=texts.name(row, 0),
                remedy="number the steps from 0, give angles in degrees, or give the range of the table with --cells",
            )
        if what.angles and label.kind == "step":
            label = StepLabel("angle", label.value)
        found.append(label)
    plain = sorted({label.value for label in found if label.kind == "step"})
    if not _are_steps(plain) and _are_angles(plain):
        found = [StepLabel("angle", label.value) if label.kind == "step" else label for label in found]
    return tuple(found)


def _no_gap(rows: list[int], filled: list[int]) -> None:
    """Refuse blank rows among rows that nothing names: they may be steps not read, or spacing."""
    for row in rows[: rows.index(filled[-1])]:
        if row not in filled:
            raise Refused(
                "the row is blank: a step not read, or spacing",
                where=f"row {row + 1}",
                remedy="delete it, or name the steps in the first column",
            )


def _columns(grid: Grid, columns: list[int], header: int | None, rows: list[int]) -> tuple[int, ...]:
    """Return the columns of readings; columns without heading and readings are spacing."""
    kept = []
    for column in columns:
        cells = [row for row in rows if grid.rows[row][column]]
        headed = header is not None and bool(grid.rows[header][column])
        if cells and header is not None and not headed:
            raise Refused(
                "there is something in a column without a heading",
                where=cell_name(cells[0], column),
                remedy="head the column, empty it, or give the range of the table with --cells",
            )
        if not cells and header is None:
            raise Refused(
                "the column is blank: a run not read, or spacing",
                where=f"column {column_name(column)}",
                remedy="delete it, or name the runs in a heading row",
            )
        if cells or headed:
            kept.append(column)
    if not kept:
        raise Refused("there is no column of readings", where=f"row {rows[0] + 1}", remedy="check the file")
    return tuple(kept)
