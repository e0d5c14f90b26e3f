"""Readings as a small picture: points with the line fitted to them, or one line of bars."""

from __future__ import annotations

from rich.segment import Segment
from textual.strip import Strip
from textual.widget import Widget

from sessions.worksheets.sheet import Trace
from tui.widgets.marks import Characters, characters
from tui.widgets.scale import Scale

_BARS = "▁▂▃▄▅▆▇█"
_ASCII_BARS = "_.-~=+*#"
_LEAST = (16, 4)


def bars(trace: Trace, width: int, *, ascii_only: bool) -> str:
    """Return the latest readings as bars in one line, lowest to highest."""
    levels = _ASCII_BARS if ascii_only else _BARS
    latest = trace.y[-max(1, width) :]
    low, high = float(latest.min()), float(latest.max())
    if high == low:
        return levels[0] * len(latest)
    return "".join(
        levels[round((value - low) / (high - low) * (len(levels) - 1))] for value in latest.tolist()
    )


def picture(trace: Trace, width: int, height: int, signs: Characters) -> list[str]:
    """Return the lines of the picture: a scale at the left, the places below; none where there is no room."""
    if not len(trace.x) or width < _LEAST[0] or height < _LEAST[1]:
        return []
    rows = height - 2
    values = [*trace.y.tolist(), *trace.line_y.tolist()]
    scale = Scale.of(min(values), max(values), rows)
    marks = dict(scale.marks(signs))
    side = len(next(iter(marks.values())))
    columns = width - side - 1
    left = min(float(trace.x.min()), float(trace.line_x.min()))
    right = max(float(trace.x.max()), float(trace.line_x.max()))
    span = right - left or 1.0
    cells = [[" "] * columns for _ in range(rows)]
    cells[scale.zero] = [signs.zero] * columns
    for x, y, sign in (
        *(
            (x, y, _line_sign(signs))
            for x, y in zip(trace.line_x.tolist(), trace.line_y.tolist(), strict=True)
        ),
        *((x, y, signs.lower) for x, y in zip(trace.x.tolist(), trace.y.tolist(), strict=True)),
    ):
        cells[scale.row(y)][round((x - left) / span * (columns - 1))] = sign
    drawn = [
        marks.get(row, " " * side) + _axis(signs) + "".join(cells[row]) for row in range(rows - 1, -1, -1)
    ]
    ends = f"{left:g}", f"{right:g} {trace.x_unit}".replace(" °", signs.degree)
    between = " " * (columns - len(ends[0]) - len(ends[1]))
    return [f"{trace.unit:>{side - 1}}", *drawn, f"{' ' * (side + 1)}{ends[0]}{between}{ends[1]}"]


def _axis(signs: Characters) -> str:
    return signs.lower_bar


def _line_sign(signs: Characters) -> str:
    return signs.undetermined


class TracePlot(Widget, can_focus=False):
    """The picture of a trace, drawn for the room that there is.

    Parameters
    ----------
    ascii_only : bool, optional
        Whether to draw with plain ASCII characters.
    """

    DEFAULT_CSS = """
    TracePlot { height: 12; width: 1fr; }
    """

    def __init__(self, *, ascii_only: bool = False, id: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id)
        self._trace: Trace | None = None
        self._ascii = ascii_only

    def show(self, trace: Trace | None) -> None:
        """Show a trace, or nothing."""
        self._trace = trace
        self.refresh()

    def render_line(self, y: int) -> Strip:
        """Draw one line."""
        width, height = self.content_size
        lines = [] if self._trace is None else picture(self._trace, width, height, characters(self._ascii))
        text = lines[y] if y < len(lines) else ""
        return Strip([Segment(text, self.rich_style)]).crop_extend(0, width, self.rich_style)
