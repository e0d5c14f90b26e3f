"""What the matrix widget draws from: cells, headings and widths, asked for only as far as they are shown."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

from tui.widgets.marks import Tone


@dataclass(frozen=True, slots=True)
class CellView:
    """One cell as it is to be drawn.

    Parameters
    ----------
    text : str
        The number, written out with its sign and point, or "" for none.
    tone : Tone
        What the cell is; it gives the sign and the style.
    mark : str, optional
        One character in place of the sign of the tone, for example for the number of readings in the cell.
    before : str, optional
        One character right before the number, in the blank that is kept there.
    """

    text: str = ""
    tone: Tone = Tone.EMPTY
    mark: str = ""
    before: str = ""


class MatrixSource(Protocol):
    """A matrix of cells: rows are steps, columns are runs, or some of them."""

    @property
    def first_run(self) -> int:
        """The first run that is shown."""

    @property
    def runs(self) -> int:
        """One more than the last run that is shown."""

    @property
    def all_runs(self) -> int:
        """Number of runs, those that are not shown included."""

    @property
    def first_step(self) -> int:
        """The first step, 0 or 1."""

    @property
    def last_step(self) -> int:
        """The last step, closing reading included."""

    @property
    def cell_width(self) -> int:
        """Width of a cell in characters; two of them are kept for signs."""

    @property
    def decimals(self) -> int:
        """Digits after the point at which the numbers are aligned."""

    def column_heading(self, run: int) -> tuple[str, str]:
        """Return the two heading lines of a run."""

    def row_heading(self, step: int) -> str:
        """Return the heading of a step."""

    def cell(self, run: int, step: int) -> CellView:
        """Return one cell; called only for cells on the screen."""
