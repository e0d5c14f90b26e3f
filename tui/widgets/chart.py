"""What stands where in the plot of the errors: markers with bars where there is room, else lines or dots."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tui.widgets.canvas import BELOW, DOTS, Frame, Points
from tui.widgets.marks import Characters
from tui.widgets.scale import Scale, angle_marks, column

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

#: Columns to a position from which both circles stand side by side on one canvas, with their bars.
_ROOMY = 3
#: Rows of each canvas from which the circles get a canvas each.
_TALL = 5
_SMALLEST = (12, 3)


@dataclass(frozen=True, slots=True, eq=False)
class PlotView:
    """Errors against the angle, arc seconds; nan for what is not determined.

    Parameters
    ----------
    angle : (n,) float array
        Degrees, rising, from 0 to below 360.
    lower, lower_u : (n,) float arrays
        Errors of the lower circle, or of the only one, and half the length of their bars.
    upper, upper_u : (n,) float arrays or None
        Those of the upper circle.
    reason : str
        What is needed, in words, while there is nothing to draw, or not everything.
    bars : str
        What half a bar is: "u" for the standard uncertainty, "U" for the expanded one.
    names : tuple of str
        What the two circles are called.
    what : str
        What the errors are.
    read : tuple of (n,) bool arrays, or None
        Which positions each circle is read at, lower first; None where that is all of them.
    """

    angle: Floats
    lower: Floats
    lower_u: Floats
    upper: Floats | None = None
    upper_u: Floats | None = None
    reason: str = ""
    bars: str = "u"
    names: tuple[str, ...] = ("lower", "upper")
    what: str = "position error"
    read: tuple[Flags, Flags] | None = None

    @property
    def circles(self) -> tuple[tuple[str, Floats, Floats], ...]:
        """Name, errors and half lengths of the bars of each circle."""
        lower = ("lower", self.lower, self.lower_u)
        if self.upper is None or self.upper_u is None:
            return (("error", self.lower, self.lower_u),)
        return (lower, ("upper", self.upper, self.upper_u))

    @property
    def anything(self) -> bool:
        """Whether any error is determined."""
        return any(bool(np.isfinite(errors).any()) for _, errors, _ in self.circles)

    @property
    def everything(self) -> bool:
        """Whether every error is determined, of the positions that are read."""
        return all(bool(np.isfinite(errors[self.reads(name)]).all()) for name, errors, _ in self.circles)

    def reads(self, circle: str) -> Flags:
        """Return at which of the positions a circle of `circles` is read, shape (n,)."""
        if self.read is None:
            return np.full(len(self.angle), True)
        return self.read[circle == "upper"]


@dataclass(frozen=True, slots=True)
class Panel:
    """One canvas: its frame, what stands on it, and whose it is ("both", "lower", "upper" or "error").

    `barred` says that the bars are drawn, `shared` that markers of both circles meet in some cell.
    """

    frame: Frame
    points: Points
    circle: str
    barred: bool
    shared: bool = False


def panels(view: PlotView, width: int, height: int, signs: Characters, *, fine: bool) -> list[Panel]:
    """Lay the plot out.

    Parameters
    ----------
    view : PlotView
        With something determined.
    width, height : int
        Room for the canvases and their axes, and for a heading line to each canvas.
    signs : Characters
        The set of characters.
    fine : bool
        Whether dots finer than a cell may be used.

    Returns
    -------
    list of Panel
        One for both circles, or one for each; none if there is no room.
    """
    circles = view.circles
    rows = height - 1 - BELOW
    apart = (height - BELOW) // 2 - 1
    barred = _columns(view, rows, width, signs) >= _ROOMY * len(view.angle)
    groups = [circles]
    if len(circles) > 1 and not barred and apart >= _TALL:
        rows = apart
        groups = [circles[:1], circles[1:]]
    columns = _columns(view, rows, width, signs)
    if columns < _SMALLEST[0] or rows < _SMALLEST[1]:
        return []
    scale = _scale(view, rows, barred)
    marks = scale.marks(signs)
    laid = []
    for group in groups:
        last = group is groups[-1]
        across = angle_marks(columns, signs) if last else ()
        frame = Frame(columns, rows, marks, across, rule=(scale.zero, signs.zero))
        name = group[0][0] if len(group) == 1 else "both"
        if fine and not barred and len(group) == 1:
            read = view.reads(name)
            curve = _curve(view.angle[read], group[0][1][read], frame, scale)
            laid.append(Panel(frame, {DOTS: curve}, name, barred=False))
        else:
            points, shared = _markers(view.angle, group, frame, scale, signs, barred)
            laid.append(Panel(frame, points, name, barred, shared))
    return laid


def _columns(view: PlotView, rows: int, width: int, signs: Characters) -> int:
    """Return the columns left by the axis, whose labels depend on the scale."""
    if rows < _SMALLEST[1]:
        return 0
    marks = _scale(view, rows, barred=True).marks(signs)
    return width - 1 - max(len(label) for _, label in marks)


def _scale(view: PlotView, rows: int, barred: bool) -> Scale:
    low = high = 0.0
    for _, errors, halves in view.circles:
        reach = np.where(np.isfinite(halves), halves, 0.0) if barred else np.zeros_like(errors)
        known = np.isfinite(errors)
        if known.any():
            low = min(low, float((errors - reach)[known].min()))
            high = max(high, float((errors + reach)[known].max()))
    return Scale.of(low, high, rows)


def _markers(
    angle: Floats,
    group: tuple[tuple[str, Floats, Floats], ...],
    frame: Frame,
    scale: Scale,
    signs: Characters,
    barred: bool,
) -> tuple[dict[str, tuple[list[int], list[int]]], bool]:
    """Return markers, with bars and side by side if there is room; a cell is drawn once."""
    marker_of = {"lower": signs.lower, "upper": signs.upper, "error": signs.lower}
    bar_of = {signs.lower: signs.lower_bar, signs.upper: signs.upper_bar}
    bars: dict[tuple[int, int], str] = {}
    markers: dict[tuple[int, int], str] = {}
    shared = False
    for index, (name, errors, halves) in enumerate(group):
        marker = marker_of[name]
        beside = index if barred else 0
        for at, error, half in zip(angle.tolist(), errors.tolist(), halves.tolist(), strict=True):
            if math.isnan(error):
                continue
            place = column(at, frame.columns) + beside
            if barred and math.isfinite(half):
                for row in range(scale.row(error - half), scale.row(error + half) + 1):
                    bars[place, row] = bar_of[marker]
            cell = place, scale.row(error)
            meets = markers.get(cell, marker) != marker
            shared |= meets
            markers[cell] = signs.both if meets else marker
    return _by_character(bars | markers), shared


def _by_character(cells: dict[tuple[int, int], str]) -> dict[str, tuple[list[int], list[int]]]:
    points: dict[str, tuple[list[int], list[int]]] = {}
    for (place, row), character in cells.items():
        columns, rows = points.setdefault(character, ([], []))
        columns.append(place)
        rows.append(row)
    return points


def _curve(angle: Floats, errors: Floats, frame: Frame, scale: Scale) -> tuple[list[int], list[int]]:
    """Return dots: a line from position to position, or the positions alone if they are denser than the dots.

    The line stops where an error is not determined, and it is closed from the last position to the first.
    """
    across = 2 * frame.columns
    known = np.isfinite(errors)
    columns = [np.rint(angle[known] / 360 * (across - 1))]
    rows = [_dot_rows(errors[known], scale)]
    if len(angle) <= across:
        at = np.arange(across) * 360 / (across - 1)
        closing = errors[0] if known[-1] else np.nan
        line = np.interp(at, np.append(angle, angle[0] + 360), np.append(errors, closing))
        heights = _dot_rows(line, scale)
        drawn = np.isfinite(heights)
        columns.append(np.flatnonzero(drawn).astype(np.float64))
        rows.append(heights[drawn])
        # Steps of more than one dot between neighbours are filled in.
        for dot in np.flatnonzero(np.abs(np.diff(heights)) > 1):
            first, last = sorted((int(heights[dot]), int(heights[dot + 1])))
            between = np.arange(first + 1, last, dtype=np.float64)
            columns.append(np.full(between.shape, dot + 1.0))
            rows.append(between)
    dots = np.unique(np.stack([np.concatenate(columns), np.concatenate(rows)]).astype(np.int64), axis=1)
    dots = dots[:, (dots[1] >= 0) & (dots[1] < 4 * frame.rows)]
    return dots[0].tolist(), dots[1].tolist()


def _dot_rows(values: Floats, scale: Scale) -> Floats:
    """Return the rows of dots, four to a row of cells, counted from the bottom."""
    return np.rint((values / scale.unit + scale.zero + 0.5) * 4 - 0.5)
