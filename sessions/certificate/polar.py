"""The polar plot of a certificate: position errors round a circle, outside it where positive, much exaggerated."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from sessions.certificate.dial import Dial, dial, drawn, in_view, numbered, stretches
from sessions.circle_words import Words
from solver.closure import Floats

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

#: Positions up to which each bears its uncertainty as a stroke; more of them bear a band.
MOST_STROKES = 36
_RIM, _NUMBERS, _ARROW = 1.49, 1.62, 1.79
_POINTS = 720


def polar_figure(
    error: Floats,
    expanded: Floats,
    tolerance: float | None,
    words: Words,
    colours: Sequence[str],
    width: float,
) -> Figure:
    """Return the errors about the mean on a circle, and beside it what is to be known to read them.

    Parameters
    ----------
    error, expanded : (n,) arrays
        Errors about the mean and their expanded uncertainties, arc seconds; nan leaves a gap.
    tolerance : float or None
        Plus or minus arc seconds.
    words : Words
        How the circle is spoken of.
    colours : sequence of str
        Of lines, of errors, of the band, of thin circles.
    width : float
        Inches.
    """
    from matplotlib.figure import Figure

    height = 2.95
    figure = Figure(figsize=(width, height), dpi=72)
    axes = figure.add_axes((0.0, 0.0, height / width, 1.0))
    axes.set_xlim(-1.86, 1.86)
    axes.set_ylim(-1.86, 1.86)
    axes.axis("off")
    found = dial(error, expanded, tolerance)
    picture = _Picture(axes, found, *colours)
    picture.circles(tolerance)
    picture.errors(error, expanded)
    picture.around(len(error))
    key = figure.add_axes((height / width + 0.03, 0.0, 0.97 - height / width, 1.0))
    key.set_xlim(0, 1)
    key.set_ylim(0, 1)
    key.axis("off")
    _Key(key, found, *colours).draw(error, expanded, tolerance, words)
    return figure


@dataclass(frozen=True, slots=True)
class _Picture:
    axes: Axes
    dial: Dial
    ink: str
    accent: str
    band: str
    soft: str

    def circles(self, tolerance: float | None) -> None:
        """Draw the circle of error 0, the thin circles, and the tolerance."""
        for ring in self.dial.rings():
            self._circle(ring, color=self.soft, linewidth=0.5, dashes=(1, 2))
        self._circle(0.0, color=self.ink, linewidth=1.0)
        if tolerance is not None and in_view(tolerance, self.dial):
            for side in (-1, 1):
                self._circle(side * tolerance, color=self.ink, linewidth=0.7, dashes=(6, 3))
        # The scale, in the middle where nothing else is.
        half = self.dial.scale * self.dial.step / 2
        self.axes.plot([-half, half], [-0.06, -0.06], color=self.ink, linewidth=0.8)
        for end in (-half, half):
            self.axes.plot([end, end], [-0.1, -0.02], color=self.ink, linewidth=0.8)
        self.axes.text(0, 0.03, f"{self.dial.step:g}″", ha="center", va="bottom", fontsize=8.5)

    def errors(self, error: Floats, expanded: Floats) -> None:
        """Draw the errors with their uncertainties, gaps left open."""
        from matplotlib.patches import PathPatch

        n = len(error)
        known = drawn(error, expanded)
        banded = n > MOST_STROKES
        for first, last in stretches(known):
            if banded and last > first:
                outline = self._band(error, expanded, first, last)
                self.axes.add_patch(PathPatch(outline, facecolor=self.band, edgecolor="none", linewidth=0))
        for first, last in stretches(known):
            x, y = self._curve(error, first, last)
            self.axes.plot(x, y, color=self.accent, linewidth=0.8)
        angle = 360 * np.arange(n) / n
        alone = ~np.roll(known, 1) & ~np.roll(known, -1)
        for position in np.flatnonzero(known & (alone if banded else True)):
            side = np.array([-1.0, 1.0]) * expanded[position]
            x, y = self.dial.at(np.repeat(angle[position], 2), error[position] + side)
            self.axes.plot(x, y, color=self.ink, linewidth=0.9)
        x, y = self.dial.at(angle[known], error[known])
        size = 3.4 if n <= MOST_STROKES else 2.0 if n <= 120 else 0.9
        self.axes.plot(x, y, linestyle="none", marker="o", markersize=size, color=self.accent)

    def around(self, n: int) -> None:
        """Draw marks and numbers of positions, and the arrow of rising numbers."""
        from matplotlib.patches import Polygon

        for position in numbered(n):
            turn = 2 * np.pi * position / n
            x, y = np.sin(turn), np.cos(turn)
            long = 0.05 if position else 0.09
            self.axes.plot(
                [(_RIM - long) * x, _RIM * x],
                [(_RIM - long) * y, _RIM * y],
                color=self.ink,
                linewidth=0.6 if position else 1.4,
            )
            weight = "bold" if position == 0 else "normal"
            self.axes.text(
                _NUMBERS * x,
                _NUMBERS * y,
                str(position),
                ha="center",
                va="center",
                fontsize=8.5,
                weight=weight,
            )
        arc = np.radians(np.linspace(4, 26, 30))
        self.axes.plot(_ARROW * np.sin(arc), _ARROW * np.cos(arc), color=self.ink, linewidth=0.8)
        tip, root = np.radians(30.0), np.radians(26.0)
        corners = [(_ARROW, tip), (_ARROW + 0.035, root), (_ARROW - 0.035, root)]
        points = [(radius * np.sin(at), radius * np.cos(at)) for radius, at in corners]
        self.axes.add_patch(Polygon(points, closed=True, facecolor=self.ink, linewidth=0))

    def _circle(self, error: float, **line: Any) -> None:
        angle = np.linspace(0, 360, 181)
        x, y = self.dial.at(angle, np.full(len(angle), error))
        self.axes.plot(x, y, **line)

    def _curve(self, error: Floats, first: int, last: int) -> Floats:
        """Return the way from position to position: the error, not the chord, goes evenly between them."""
        n = len(error)
        here = np.arange(first, last + 1)
        fine = np.linspace(first, last, (last - first) * max(1, round(_POINTS / n)) + 1)
        return self.dial.at(360 * fine / n, np.interp(fine, here, error[here % n]))

    def _band(self, error: Floats, expanded: Floats, first: int, last: int) -> Any:
        from matplotlib.path import Path

        outer = self._curve(error + expanded, first, last).T
        inner = self._curve(error - expanded, first, last).T[::-1]
        codes = np.full(len(outer) + len(inner), Path.LINETO)
        codes[0] = Path.MOVETO
        if last - first == len(error):
            codes[len(outer)] = Path.MOVETO
        return Path(np.concatenate([outer, inner]), codes)


@dataclass(frozen=True, slots=True)
class _Key:
    axes: Axes
    dial: Dial
    ink: str
    accent: str
    band: str
    soft: str

    def draw(self, error: Floats, expanded: Floats, tolerance: float | None, words: Words) -> None:
        """Say what is what."""
        n = len(error)
        known = drawn(error, expanded)
        lines: list[tuple[str, str]] = [
            ("zero", f"error 0: {words.mean}"),
            ("ring", f"errors {self.dial.step:g}″ apart, positive outside"),
            ("error", f"error of each {words.place}"),
        ]
        if n > MOST_STROKES:
            lines.append(("band", "expanded uncertainty U either side"))
        else:
            lines.append(("stroke", "expanded uncertainty U either side"))
        if tolerance is not None and in_view(tolerance, self.dial):
            lines.append(("tolerance", f"tolerance ±{tolerance:g}″"))
        lines.append(("arrow", f"rising numbers, from {words.place} 0 at the top"))
        if not known.all():
            lines.append(("gap", f"a gap: {n - int(known.sum())} of {n} not determined"))
        top = 0.5 + 0.045 * (len(lines) + 1.2)
        self.axes.text(
            0, top, "Errors drawn outward and inward, exaggerated:", fontsize=8.5, va="center", ha="left"
        )
        for number, (sample, said) in enumerate(lines, 1):
            level = top - 0.09 * number
            self._sample(sample, level)
            self.axes.text(0.15, level, said, fontsize=8.5, va="center", ha="left")

    def _sample(self, sample: str, level: float) -> None:
        ends, here = [0.0, 0.11], [level, level]
        match sample:
            case "zero":
                self.axes.plot(ends, here, color=self.ink, linewidth=1.0)
            case "ring":
                self.axes.plot(ends, here, color=self.soft, linewidth=0.6, dashes=(1, 2))
            case "error":
                self.axes.plot(ends, here, color=self.accent, linewidth=0.8)
                self.axes.plot([0.055], [level], marker="o", markersize=3.2, color=self.accent)
            case "band":
                low, high = level - 0.025, level + 0.025
                self.axes.fill([0, 0.11, 0.11, 0], [low, low, high, high], color=self.band, linewidth=0)
            case "stroke":
                self.axes.plot([0.055] * 2, [level - 0.03, level + 0.03], color=self.ink, linewidth=0.9)
            case "tolerance":
                self.axes.plot(ends, here, color=self.ink, linewidth=0.7, dashes=(6, 3))
            case "arrow":
                self.axes.plot([0.0, 0.09], here, color=self.ink, linewidth=0.8)
                self.axes.fill(
                    [0.11, 0.085, 0.085], [level, level + 0.012, level - 0.012], color=self.ink, linewidth=0
                )
            case _:
                self.axes.plot([0.0, 0.03], here, color=self.accent, linewidth=0.8)
                self.axes.plot([0.08, 0.11], here, color=self.accent, linewidth=0.8)
