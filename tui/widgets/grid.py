"""Where the cells of the matrix stand: frozen headings, whole columns, what is in sight."""

from __future__ import annotations

from dataclasses import dataclass

from textual.geometry import Region, Size

#: Lines of the column headings.
HEADINGS = 2
#: Steps kept in sight beyond the cursor, where there is room, since that is where the bench goes.
_AHEAD = 2


@dataclass(frozen=True, slots=True)
class Grid:
    """The places of a matrix that is scrolled to some column and row.

    Parameters
    ----------
    runs, first_step, last_step, first_run : int
        Extent of the matrix, from its first run to the one before `runs`; no runs or no steps is allowed.
    cell_width, side : int
        Width of a cell and of the row headings, in characters.
    width, height : int
        What of the widget is free of scroll bars, in characters.
    column, row : int
        The run at the left and the row (step minus first step) at the top.
    """

    runs: int = 0
    first_step: int = 0
    last_step: int = -1
    cell_width: int = 1
    side: int = 0
    width: int = 0
    height: int = 0
    column: int = 0
    row: int = 0
    first_run: int = 0

    @property
    def empty(self) -> bool:
        """Whether there is no cell at all."""
        return self.runs <= self.first_run or self.last_step < self.first_step

    @property
    def whole(self) -> int:
        """How many columns fit whole; at least one is drawn."""
        return max(1, (self.width - self.side) // self.cell_width)

    @property
    def columns(self) -> range:
        """The runs on the screen."""
        return range(self.column, min(self.runs, self.column + self.whole))

    @property
    def extent(self) -> Size:
        """Size of the whole matrix with its headings."""
        across = self.side + (self.runs - self.first_run) * self.cell_width
        return Size(across, HEADINGS + max(0, self.last_step - self.first_step + 1))

    def inside(self, run: int, step: int) -> tuple[int, int]:
        """Return the cell nearest to a run and a step."""
        if self.empty:
            return (self.first_run, self.first_step)
        return min(max(run, self.first_run), self.runs - 1), min(max(step, self.first_step), self.last_step)

    def step_at(self, line: int) -> int | None:
        """Return the step drawn in a line of the widget, None where there is none."""
        step = self.first_step + line - HEADINGS + self.row
        return step if line >= HEADINGS and self.first_step <= step <= self.last_step else None

    def run_at(self, character: int) -> int | None:
        """Return the run drawn at a character of a line, None where there is none."""
        run = self.column + (character - self.side) // self.cell_width
        return run if character >= self.side and run in self.columns else None

    def places(self, run: int, step: int) -> dict[str, Region]:
        """Return where a "cell" and its headings, "column" and "row", stand, as far as they are in sight."""
        left = self.side + (run - self.column) * self.cell_width
        top = HEADINGS + step - self.first_step - self.row
        found = {}
        across = run in self.columns
        down = HEADINGS <= top < self.height
        if across and down:
            found["cell"] = Region(left, top, self.cell_width, 1)
        if across:
            found["column"] = Region(left, 0, self.cell_width, HEADINGS)
        if down:
            found["row"] = Region(0, top, self.side, 1)
        return found

    def sight(self, run: int, step: int) -> tuple[int, int]:
        """Return the column and the row to scroll to, moving as little as can be, to have a cell in sight."""
        rows = max(1, self.height - HEADINGS)
        ahead = _AHEAD if rows > 3 * _AHEAD else 0
        at = step - self.first_step
        row = min(max(self.row, at + ahead - rows + 1), max(0, at - ahead))
        column = min(max(self.column, run - self.whole + 1), run)
        return column, row
