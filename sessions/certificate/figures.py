"""The plots of a certificate: errors with their uncertainty, harmonics, residuals. Drawn by matplotlib, no window."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from io import StringIO
from typing import TYPE_CHECKING, Any

import numpy as np

from sessions.certificate.polar import polar_figure
from sessions.certificate.results import CircleSheet
from sessions.certificate_data import Certificate, Residuals
from solver.closure import Floats, Ints
from solver.model_tests import plotting_positions

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

INK, SOFT, ACCENT, BAND = "#1b1f24", "#8a9097", "#1f3f66", "#ccd6e2"
#: Inches: the width of a page's text.
WIDTH = 6.7
#: Orders up to which each bears its expanded uncertainty.
_MOST_STROKES = 40
#: Dots of a plot above which those within two standard deviations are thinned out.
_MOST_DOTS = 1500
_IDENTIFIER = re.compile(r'\bid="|href="#|url\(#')
_STYLE: Any = {
    "font.family": "STIXGeneral",
    "font.size": 9.0,
    "axes.linewidth": 0.6,
    "axes.edgecolor": INK,
    "axes.labelcolor": INK,
    "text.color": INK,
    "xtick.color": INK,
    "ytick.color": INK,
    "xtick.major.width": 0.6,
    "ytick.major.width": 0.6,
    "xtick.direction": "out",
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.unicode_minus": True,
    "svg.fonttype": "none",
    "svg.hashsalt": "fullturn",
    "path.simplify": False,
}


@contextmanager
def style() -> Iterator[None]:
    """Draw in the style of the certificate."""
    from matplotlib import rc_context

    with rc_context(_STYLE):
        yield


def errors_figure(circle: CircleSheet) -> Figure:
    """Return the position errors of a circle about its mean with the band of their expanded uncertainty."""
    figure = _figure(2.25)
    axes = figure.add_axes((0.085, 0.19, 0.89, 0.75))
    value, u = circle.errors.position.value, circle.uncertainty.position.expanded
    n = len(value)
    around = np.arange(n + 1)
    at, error, band = around * 360 / n, value[around % n], u[around % n]
    axes.fill_between(at, error - band, error + band, color=BAND, linewidth=0)
    axes.axhline(0, color=INK, linewidth=0.6)
    axes.plot(at, error, color=ACCENT, linewidth=0.7, marker="o", markersize=_marker(n), clip_on=False)
    if circle.fine is not None:
        fine = circle.fine
        known = np.isfinite(fine.uncertainty.position.expanded)
        axes.errorbar(
            fine.measured.at[known] * 360 / fine.fine,
            fine.measured.position.value[known],
            yerr=fine.uncertainty.position.expanded[known],
            fmt=".",
            color=ACCENT,
            ecolor=SOFT,
            elinewidth=0.4,
            markersize=1.8,
        )
    if circle.tolerance is not None:
        for side in (-1, 1):
            axes.axhline(side * circle.tolerance, color=INK, linewidth=0.7, dashes=(6, 3))
    axes.set_xlim(0, 360)
    axes.set_xticks(np.arange(0, 361, 30))
    axes.set_xlabel("nominal angle, degrees")
    axes.set_ylabel(f"{circle.words.error}, ″")
    _pad(axes)
    return figure


def spectrum_figure(circles: tuple[CircleSheet, ...]) -> Figure:
    """Return the harmonics of the circles, with what scatter alone may make."""
    figure = _figure(2.1)
    each = 0.905 / len(circles)
    for number, circle in enumerate(circles):
        axes = figure.add_axes((0.085 + number * (each + 0.02), 0.22, each - 0.045, 0.66))
        found = circle.spectrum
        axes.vlines(
            found.order, 0, found.amplitude, color=ACCENT, linewidth=1.6 if len(found.order) < 40 else 0.8
        )
        axes.plot(found.order, found.limit, color=INK, linewidth=0.7, dashes=(2, 2))
        if len(found.order) <= _MOST_STROKES and np.isfinite(circle.amplitude_u).any():
            low = np.maximum(found.amplitude - circle.amplitude_u, 0)
            axes.vlines(
                found.order + 0.12, low, found.amplitude + circle.amplitude_u, color=INK, linewidth=0.6
            )
        axes.set_ylim(bottom=0)
        axes.set_xlim(0, max(len(found.order), 1) + 0.6)
        axes.locator_params(axis="x", integer=True, nbins=8)
        axes.set_xlabel("times per turn")
        if number == 0:
            axes.set_ylabel("amplitude, ″")
        if len(circles) > 1:
            axes.set_title(circle.words.item, fontsize=9, loc="left", pad=4)
    return figure


def residuals_figure(residuals: Residuals) -> Figure:
    """Return the residuals in the order of time, and their normal probability plot."""
    figure = _figure(2.3)
    left = figure.add_axes((0.085, 0.2, 0.575, 0.7))
    count = len(residuals.value)
    left.axhline(0, color=INK, linewidth=0.6)
    shown = _thinned(residuals.standardized)
    left.plot(shown + 1, residuals.value[shown], ".", color=ACCENT, markersize=_marker(count / 2))
    for begins in np.flatnonzero(np.diff(residuals.run)) + 1:
        if len(np.unique(residuals.run)) <= 40:
            left.axvline(begins + 0.5, color=SOFT, linewidth=0.4)
    left.set_xlim(0.5, max(count, 1) + 0.5)
    left.set_xlabel("cells in the order of time; lines part the runs")
    left.set_ylabel("residual, ″")
    _pad(left)
    right = figure.add_axes((0.735, 0.2, 0.255, 0.7))
    known = np.sort(residuals.standardized[np.isfinite(residuals.standardized)])
    if len(known):
        expected = plotting_positions(len(known))
        ends = np.array([expected[0], expected[-1]])
        right.plot(ends, ends, color=INK, linewidth=0.7)
        shown = _thinned(expected)
        right.plot(expected[shown], known[shown], ".", color=ACCENT, markersize=_marker(count / 2))
    right.set_xlabel("normal score")
    right.set_ylabel("standardized residual")
    return figure


def svg(figure: Figure, name: str) -> str:
    """Return a figure as an SVG element, the same for the same figure, its identifiers beginning with a name."""
    text = StringIO()
    with style():
        figure.savefig(text, format="svg", metadata={"Date": None, "Creator": None}, transparent=True)
    drawn = text.getvalue()
    return _IDENTIFIER.sub(rf"\g<0>{name}-", drawn[drawn.index("<svg") :])


def figures(certificate: Certificate) -> dict[str, Figure]:
    """Return the plots by name, without those that have nothing to show.

    "lower" and "upper" are the errors over the angle, "lower-polar" and "upper-polar" the same round the circle; then
    "harmonics" and "residuals".
    """
    with style():
        drawn: dict[str, Figure] = {}
        for circle in certificate.circles:
            error, u = circle.errors.position.value, circle.uncertainty.position.expanded
            if np.isfinite(u).any():
                drawn[circle.name] = errors_figure(circle)
                colours = (INK, ACCENT, BAND, SOFT)
                drawn[polar_name(circle)] = polar_figure(
                    error, u, circle.tolerance, circle.words, colours, WIDTH
                )
        shown = tuple(
            circle
            for circle in certificate.circles
            if len(circle.spectrum.order) and np.isfinite(circle.amplitude_u).any()
        )
        if shown:
            drawn["harmonics"] = spectrum_figure(shown)
        if len(certificate.residuals.value) and np.any(np.isfinite(certificate.residuals.standardized)):
            drawn["residuals"] = residuals_figure(certificate.residuals)
        return drawn


def polar_name(circle: CircleSheet) -> str:
    """Return the name of the polar plot of a circle."""
    return f"{circle.name}-polar"


def _figure(height: float) -> Figure:
    from matplotlib.figure import Figure

    return Figure(figsize=(WIDTH, height), dpi=72)


def _thinned(value: Floats) -> Ints:
    """Return which of (N,) values in standard deviations are drawn: all that lie far out, of the many others some."""
    often = max(1, round(len(value) / _MOST_DOTS))
    here = np.arange(len(value))
    return np.flatnonzero((here % often == 0) | ~(np.abs(value) < 2))


def _marker(count: float) -> float:
    return 3.2 if count <= 40 else 2.2 if count <= 120 else 1.2


def _pad(axes: Axes) -> None:
    """Leave room above and below, the zero line always in view."""
    low, high = axes.get_ylim()
    low, high = min(low, 0.0), max(high, 0.0)
    room = 0.06 * (high - low or 1.0)
    axes.set_ylim(low - room, high + room)
