"""The words and columns of the results: lines worked out for a width, before anything is drawn."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sessions.counted import freedom_words
from sessions.rounding import decimals_for, decimals_of_column
from tui.streams import in_ascii
from tui.widgets.formats import align_point, plain, signed, with_uncertainty, wrapped
from tui.widgets.marks import ASCII, Characters

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]

#: A line: pieces of text, each with the name of its style.
Line = tuple[tuple[str, str], ...]

_LABEL = 15
_MISFIT_LINES = 2


@dataclass(frozen=True, slots=True, eq=False)
class ResultsView:
    """The results of a session so far, arc seconds; nan for what is not determined.

    Parameters
    ----------
    lower, lower_uncertainty : (n,) float arrays
        Errors of the lower circle, or of the only one, and their standard uncertainties.
    upper, upper_uncertainty : (n,) float arrays or None
        Those of the upper circle.
    standard_deviation, repeatability : float
        Residual standard deviation, and standard deviation within cells.
    degrees_of_freedom, repeatability_freedom : int
        Their degrees of freedom.
    misfits : tuple of (str, float)
        Name of each run and its closing misfit; nan where its closing reading is still to come.
    done, planned : int
        Readings taken, and readings planned.
    time_left : str
        In words, "" where it is not known.
    missing : str
        What the values not determined yet need, in words, "" where nothing is missing.
    quantity : str
        What the errors are.
    decimals : int
        Digits after the point of a reading, for what has no uncertainty to be rounded by.
    names : tuple of str
        What the two circles are called.
    only : str
        What the column of an only circle is called.
    further : tuple of (str, (n,) array, (n,) array)
        Further columns of an only circle: name, errors, standard uncertainties.
    remarks : tuple of str
        Sentences that stand above the table.
    at : (n,) int array or None
        Number of the position in each row; None where the rows are all the positions of a turn.
    turn : int or None
        Positions to a full turn, where the rows are not all of them.
    read : tuple of (n,) bool arrays, or None
        Which positions each circle is read at, lower first; None where that is all of them.
    """

    lower: Floats
    lower_uncertainty: Floats
    upper: Floats | None = None
    upper_uncertainty: Floats | None = None
    standard_deviation: float = math.nan
    degrees_of_freedom: int = 0
    repeatability: float = math.nan
    repeatability_freedom: int = 0
    misfits: tuple[tuple[str, float], ...] = ()
    done: int = 0
    planned: int = 0
    time_left: str = ""
    missing: str = ""
    quantity: str = "position error about the mean"
    decimals: int = 2
    names: tuple[str, ...] = ("lower", "upper")
    only: str = "error"
    further: tuple[tuple[str, Floats, Floats], ...] = ()
    remarks: tuple[str, ...] = ()
    at: Ints | None = None
    turn: int | None = None
    read: tuple[Flags, Flags] | None = None

    @property
    def circles(self) -> tuple[tuple[str, Floats, Floats], ...]:
        """Name, errors and uncertainties of each column."""
        if self.upper is None or self.upper_uncertainty is None:
            return ((self.only, self.lower, self.lower_uncertainty), *self.further)
        return (
            (self.names[0], self.lower, self.lower_uncertainty),
            (self.names[1], self.upper, self.upper_uncertainty),
        )

    @property
    def determined(self) -> bool:
        """Whether every error is determined, of the positions that are read."""
        if self.read is None:
            return all(bool(np.isfinite(errors).all()) for _, errors, _ in self.circles)
        known = [
            np.isfinite(errors[read]) for (_, errors, _), read in zip(self.circles, self.read, strict=True)
        ]
        return all(bool(each.all()) for each in known)


def summary(view: ResultsView, width: int, signs: Characters) -> list[Line]:
    """Return the lines above the table: how far, how good, what closed, what is missing."""
    room = max(1, width - _LABEL)
    left = f", {view.time_left}" if view.time_left else ""
    said = [
        ("readings", [f"{view.done} of {view.planned}{left}"]),
        ("residual s", [_deviation(view.standard_deviation, view.degrees_of_freedom, room, signs)]),
        ("repeatability", [_deviation(view.repeatability, view.repeatability_freedom, room, signs)]),
    ]
    if view.misfits:
        said.append(("closing misfit", _misfits(view, room, signs)))
    lines: list[Line] = []
    for label, entries in said:
        if max(map(len, entries)) <= room:
            labels = (label, *[""] * (len(entries) - 1))
            lines += [
                (("label", name.ljust(_LABEL)), ("value", entry))
                for name, entry in zip(labels, entries, strict=True)
            ]
        else:
            lines.append((("label", label),))
            lines += [(("value", line),) for entry in entries for line in wrapped(entry, width)]
    if not view.determined:
        words = f"{signs.undetermined} not determined yet" + (f": {view.missing}" if view.missing else "")
        lines += [(("missing", line),) for line in wrapped(words, width)]
    for remark in view.remarks:
        words = remark if signs is not ASCII else in_ascii(remark)
        lines += [(("label", line),) for line in wrapped(words, width)]
    return lines


def _deviation(value: float, freedom: int, room: int, signs: Characters) -> str:
    """Return a standard deviation with its degrees of freedom."""
    if math.isnan(value):
        return f"{signs.undetermined} no degree of freedom yet"
    number = f"{plain(value, decimals_for(value), signs)}{signs.arcsec}, "
    words = number + freedom_words(freedom)
    return words if len(words) <= room else f"{number}{freedom} d.f."


def _misfits(view: ResultsView, room: int, signs: Characters) -> list[str]:
    """Return the closing misfits run by run if they fit in a few lines, else the largest of them."""
    deviation = view.standard_deviation
    decimals = decimals_for(deviation, otherwise=view.decimals)
    items = [f"{name} {signed(misfit, decimals, signs)}" for name, misfit in view.misfits]
    lines = [items[0]]
    for item in items[1:]:
        if len(lines[-1]) + 3 + len(item) <= room:
            lines[-1] += "   " + item
        elif len(lines) < _MISFIT_LINES and len(item) <= room:
            lines.append(item)
        else:
            break
    else:
        return lines
    closed = [(name, misfit) for name, misfit in view.misfits if not math.isnan(misfit)]
    count = f"{len(closed)} of {len(view.misfits)} runs closed"
    if not closed:
        return [count]
    name, misfit = max(closed, key=lambda item: abs(item[1]))
    largest = f"largest {signed(misfit, decimals, signs)}{signs.arcsec} in {name}"
    both = f"{largest}, {count}"
    return [both] if len(both) <= room else [largest, count]


class Table:
    """The columns of the errors: what fits in a width, never a cut number.

    Parameters
    ----------
    view : ResultsView
        What is shown.
    width : int
        Characters to a line. The angles go first when there is little room, then the uncertainties.
    signs : Characters
        The set of characters.
    """

    def __init__(self, view: ResultsView, width: int, signs: Characters) -> None:
        self._view = view
        self._signs = signs
        self._count = len(view.lower)
        self._turn = view.turn or max(self._count, 1)
        step = 360 / self._turn
        self._angle_decimals = next((d for d in (0, 1, 2) if round(step, d) == round(step, 6)), 3)
        markers = (signs.lower, signs.upper) if view.upper is not None else ("",) * len(view.circles)
        self._columns = [
            _Column(f"{marker} {name}".strip(), errors, uncertainties, view)
            for marker, (name, errors, uncertainties) in zip(markers, view.circles, strict=True)
        ]
        self._at = np.arange(self._count) if view.at is None else view.at
        self._position_width = max(len("pos"), len(str(self._at.max(initial=0))))
        angle = 6 + self._angle_decimals
        values = sum(column.width for column in self._columns)
        uncertainties = sum(3 + column.uncertainty_width for column in self._columns)
        # What goes when there is little room: the angles, then space between columns, then the uncertainties.
        least = self._position_width + values + uncertainties
        roomy = least + 3 * len(self._columns)
        self._with_uncertainty = least + 2 * len(self._columns) <= width
        self._angle_width = angle if roomy + angle <= width else 0
        self._gap = "  " if self._with_uncertainty and roomy > width else "   "

    def headings(self) -> list[Line]:
        """Return the two lines above the columns."""
        signs = self._signs
        line = "pos".rjust(self._position_width)
        if self._angle_width:
            line += "angle".rjust(self._angle_width)
        for column in self._columns:
            line += self._gap + column.heading.rjust(column.width)
            if self._with_uncertainty:
                line += f"{signs.plus_minus} u".rjust(3 + column.uncertainty_width)
        return [
            (("label", f"{self._view.quantity}, {signs.arcsec}"),),
            (("heading", line),),
        ]

    def row(self, position: int) -> Line:
        """Return the line of a position, counted from the first row."""
        signs = self._signs
        at = int(self._at[position])
        side = str(at).rjust(self._position_width)
        if self._angle_width:
            angle = f"{360 * at / self._turn:.{self._angle_decimals}f}{signs.degree}"
            side += angle.rjust(self._angle_width)
        pieces = [("label", side)]
        read = self._view.read
        for index, column in enumerate(self._columns):
            if read is not None and not read[index][position]:
                wide = column.width + (3 + column.uncertainty_width if self._with_uncertainty else 0)
                pieces.append(("value", self._gap + " " * wide))
                continue
            value, uncertainty = column.texts(position, signs)
            known = value != signs.undetermined
            value = align_point(value, column.decimals).rjust(column.width)
            pieces.append(("value" if known else "missing", self._gap + value))
            if self._with_uncertainty:
                aligned = align_point(uncertainty, column.decimals).rjust(column.uncertainty_width)
                pieces.append(
                    (
                        "label",
                        f" {signs.plus_minus:<2}{aligned}" if known else " " * (3 + column.uncertainty_width),
                    )
                )
        return tuple(pieces)


class _Column:
    """Widths of the errors and uncertainties of one circle, from their extremes only."""

    def __init__(self, heading: str, errors: Floats, uncertainties: Floats, view: ResultsView) -> None:
        self.heading = heading
        self._errors = errors
        self._uncertainties = uncertainties
        self._fallback = view.decimals + 1
        usable = uncertainties[np.isfinite(uncertainties) & (uncertainties > 0)]
        finite = errors[np.isfinite(errors)]
        self.decimals = decimals_of_column(uncertainties, otherwise=self._fallback)
        largest = float(np.abs(finite).max()) if finite.size else 0.0
        point = self.decimals + (1 if self.decimals else 0)
        self.width = max(
            len("o lower"), len(heading), 1 + len(f"{largest:.{self.decimals}f}".partition(".")[0]) + point
        )
        widest = float(usable.max()) if usable.size else 0.0
        self.uncertainty_width = max(1, len(f"{widest:.{self.decimals}f}".partition(".")[0])) + point

    def texts(self, position: int, signs: Characters) -> tuple[str, str]:
        return with_uncertainty(
            float(self._errors[position]),
            float(self._uncertainties[position]),
            signs,
            fallback=self._fallback,
        )
