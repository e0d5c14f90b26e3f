"""Drawing a frame with points by plotext, version 5 or 6, without any state of its own or of the module.

plotext is imported when the first plot is drawn, never before the first paint: it takes longer than a screen.
Everything is placed by whole cells, so both versions draw the same; colours are left to the widget.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

#: Lines below a canvas that has an axis for the angles.
BELOW = 2

#: Stands for dots finer than a cell.
DOTS = "braille"
_ACROSS, _DOWN = 2, 4

_ASCII_AXES = str.maketrans("┤│└┬─", "+|++-")

Points = Mapping[str, tuple[Sequence[int], Sequence[int]]]


@dataclass(frozen=True, slots=True)
class Frame:
    """A canvas of cells with its axes.

    Parameters
    ----------
    columns, rows : int
        Size of the canvas, at least 2 × 2.
    down : tuple of (int, str)
        Marks of the vertical axis: row from the bottom, and label; all labels of one length.
    across : tuple of (int, str)
        Marks of the horizontal axis: column, and label; none leaves the axis out.
    rule : (int, str), optional
        A row, from the bottom, and the character that fills what is blank of it.
    """

    columns: int
    rows: int
    down: tuple[tuple[int, str], ...]
    across: tuple[tuple[int, str], ...] = ()
    rule: tuple[int, str] | None = None

    @property
    def side(self) -> int:
        """Width of the labels and the axis to the left of the canvas."""
        return max((len(label) for _, label in self.down), default=0) + 1

    @property
    def size(self) -> tuple[int, int]:
        """Width and height with the axes."""
        return self.side + self.columns, self.rows + (BELOW if self.across else 0)


def load() -> None:
    """Import plotext, so that the first drawing need not."""
    import plotext  # noqa: F401


def draw(frame: Frame, points: Points, *, ascii_only: bool = False) -> list[str]:
    """Draw points on a frame.

    Parameters
    ----------
    frame : Frame
        The canvas.
    points : mapping of str to (columns, rows)
        For each character where it goes, in cells from the lower left corner, or, for `DOTS`, in dots (a cell
        is two wide and four high). Later ones cover earlier ones.
    ascii_only : bool, optional
        Whether the axes are to be drawn with plain ASCII characters.

    Returns
    -------
    list of str
        The lines, without colours.

    Raises
    ------
    ImportError, OSError
        If plotext cannot be loaded on this computer.
    """
    import plotext

    text = _draw_6(plotext, frame, points) if hasattr(plotext, "terminal") else _draw_5(frame, points)
    if ascii_only:
        text = text.translate(_ASCII_AXES)
    width = frame.size[0]
    lines = [line.ljust(width)[:width] for line in text.splitlines()]
    if frame.rule is not None:
        # As points it would cost as much as all the others.
        row, character = frame.rule
        line = lines[frame.rows - 1 - row]
        lines[frame.rows - 1 - row] = line[: frame.side] + line[frame.side :].replace(" ", character)
    if frame.across:
        lines[-1] = _labels(frame)
    return lines


def _labels(frame: Frame) -> str:
    """Return the labels of the horizontal axis, each below its mark; the two versions place them differently."""
    width = frame.size[0]
    line = [" "] * width
    for column, label in frame.across:
        first = max(0, min(frame.side + column - (len(label) - 1) // 2, width - len(label)))
        line[first : first + len(label)] = label
    return "".join(line)


def _draw_6(plotext: Any, frame: Frame, points: Points) -> str:
    terminal = type(plotext.terminal)()
    terminal.limit(False, False)
    figure = type(plotext.figure)(terminal)
    figure.plot_size(*frame.size)
    figure.theme("colorless")
    figure.axes(False, axis=0, side=1)
    figure.axes(False, axis=1, side=1)
    figure.axes(bool(frame.across), axis=0, side=0)
    figure.ruler(0, 0).lim(0, frame.columns - 1)
    figure.ruler(1, 0).lim(0, frame.rows - 1)
    figure.ruler(0, 0).ticks(*_ticks(frame.across))
    figure.ruler(1, 0).ticks(*_ticks(frame.down))
    for marker, (columns, rows) in points.items():
        x: list[float] = list(columns)
        y: list[float] = list(rows)
        if marker == DOTS:
            x, y = [(dot + 0.5) / _ACROSS - 0.5 for dot in x], [(dot + 0.5) / _DOWN - 0.5 for dot in y]
        figure.draw(figure.signal(x, y, marker=marker))
    return str(figure.build().string(colorless=True))


def _draw_5(frame: Frame, points: Points) -> str:
    from plotext._figure import _figure_class
    from plotext._utility import uncolorize

    figure = _figure_class()
    figure._limit_size(False, False)
    figure.plot_size(*frame.size)
    figure.theme("clear")
    figure.xaxes(bool(frame.across), False)
    figure.yaxes(True, False)
    figure.xlim(0, frame.columns - 1)
    figure.ylim(0, frame.rows - 1)
    figure.xticks(*_ticks(frame.across))
    figure.yticks(*_ticks(frame.down))
    for marker, (columns, rows) in points.items():
        x: list[float] = list(columns)
        y: list[float] = list(rows)
        if marker == DOTS:
            # The outermost dots lie on the limits here, not the middles of the outermost cells.
            across, down = _ACROSS * frame.columns - 1, _DOWN * frame.rows - 1
            x = [dot * (frame.columns - 1) / across for dot in x]
            y = [dot * (frame.rows - 1) / down for dot in y]
        figure.scatter(x, y, marker=marker)
    return str(uncolorize(figure.build()))


def _ticks(ticks: tuple[tuple[int, str], ...]) -> tuple[list[int], list[str]]:
    return [place for place, _ in ticks], [label for _, label in ticks]
