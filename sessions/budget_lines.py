"""Lines to begin a budget with, filled from the setup worksheets of the session where these are recorded."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from math import hypot, sqrt
from typing import Any

import numpy as np

from sessions.analysis import Analysis
from sessions.entries import Entry, Setup
from solver.budget import Line
from solver.closing import closing
from solver.closure import Floats
from solver.effects import Effect
from solver.levelling import effect_of_tilt

_HELD = "held by the scatter of the readings already (JCGM 100, 4.3.10)"
#: Source of a line whose figure is still to come.
NOT_YET = "not assessed yet"


def starting_lines(entries: Iterable[Entry], analysis: Analysis) -> tuple[Line, ...]:
    """Return the lines to begin with, in the order of the design document, section 4.

    What the scatter of the readings holds already is there with its figure and not counted. A figure that no
    worksheet gives is left open.

    Parameters
    ----------
    entries : iterable of Entry
        Of the session; the newest record of each worksheet counts.
    analysis : Analysis
        Of the session.
    """
    recorded = {entry.worksheet: entry for entry in entries if isinstance(entry, Setup)}

    def sheet(name: str) -> _Sheet:
        return _Sheet(recorded.get(name))

    lines = (
        _scale(sheet("polarity and scale")),
        Line("instrument linearity", effect=Effect("position"), source=NOT_YET),
        _resolution(analysis),
        Line("mirror flatness with beam walk", effect=Effect("position"), source=NOT_YET),
        _cross_axis(sheet("mirror height and facing")),
        _axes(sheet("mirror height and facing"), sheet("levelling")),
        _drift(analysis),
        _seating(sheet("seating repeatability")),
    )
    return tuple(_rounded(line) for line in lines)


def _rounded(line: Line) -> Line:
    """Return a line with figures as a person would write them: four digits, three of the degrees of freedom."""

    def four(value: float | None) -> float | None:
        return None if value is None else float(f"{value:.4g}")

    freedom = line.degrees_of_freedom
    return replace(
        line,
        half_width=four(line.half_width),
        standard_uncertainty=four(line.standard_uncertainty),
        degrees_of_freedom=None if freedom is None else float(f"{freedom:.3g}"),
    )


class _Sheet:
    """Numbers of a worksheet, none where it is not recorded."""

    def __init__(self, entry: Setup | None) -> None:
        self._result: Mapping[str, Any] = {} if entry is None else entry.result
        self.source = "" if entry is None else f"worksheet “{entry.worksheet}”, entry {entry.number}"

    def number(self, key: str) -> float | None:
        value = self._result.get(key)
        return float(value) if isinstance(value, int | float) and not isinstance(value, bool) else None


def _scale(sheet: _Sheet) -> Line:
    """Return the line of the scale: what is known to be off and not corrected counts (JCGM 100, F.2.4.5)."""
    effect = Effect("proportional")
    scale, uncertainty = sheet.number("scale"), sheet.number("scale_standard_uncertainty")
    if scale is None or uncertainty is None:
        return Line("instrument scale", effect=effect, source=NOT_YET)
    return Line(
        "instrument scale",
        kind="A",
        distribution="normal",
        standard_uncertainty=hypot(scale - 1, uncertainty),
        degrees_of_freedom=_positive(sheet.number("effective_degrees_of_freedom")),
        effect=effect,
        source=f"{sheet.source}; scale {scale:.6g}, not corrected",
    )


def _resolution(analysis: Analysis) -> Line:
    """Return the line of the last digit.

    Each cell rounds another way, so the scatter about the adjustment holds it, unless that is smaller than rounding
    alone makes it, δ/root 12 (JCGM 100, F.2.2.1).
    """
    instrument = analysis.header.instrument
    if instrument.resolution is None:
        return Line("resolution", effect=Effect("cell"), source=NOT_YET)
    digit = instrument.resolution * instrument.arcsec_per_unit
    seen = analysis.deviation >= digit / sqrt(12)
    return Line(
        "resolution",
        half_width=digit / 2,
        effect=Effect("cell"),
        counted=not seen,
        source=f"half of the last digit; {_HELD}" if seen else "half of the last digit",
    )


def _cross_axis(sheet: _Sheet) -> Line:
    name = "cross-axis (roll × tilt)"
    effect = Effect("harmonic", order=1)
    whole = sheet.number("effect_on_angle_arcsec")
    if whole is None:
        return Line(name, distribution="U-shaped", effect=effect, source=NOT_YET)
    return Line(
        name,
        distribution="U-shaped",
        half_width=abs(whole) / 2,
        effect=effect,
        source=f"{sheet.source}; half of the effect of the whole spread",
    )


def _axes(facing: _Sheet, levelling: _Sheet) -> Line:
    """Return the line of axes that lean: an error that comes twice in a turn."""
    name, effect = "axes not parallel", Effect("harmonic", order=2)
    leaning = facing.number("between_axes_arcsec")
    if leaning is not None:
        return Line(
            name,
            distribution="U-shaped",
            half_width=effect_of_tilt(leaning),
            effect=effect,
            source=f"{facing.source}; {leaning:.3g}″ between the axes",
        )
    tilted = levelling.number("effect_on_angle_arcsec")
    if tilted is not None:
        return Line(
            name,
            distribution="U-shaped",
            half_width=abs(tilted),
            effect=effect,
            source=f"{levelling.source}; effect of the tilt of the axis",
        )
    return Line(name, distribution="U-shaped", effect=effect, source=NOT_YET)


def _drift(analysis: Analysis) -> Line:
    """Return the line of a drift that the model does not have: as the mean closing misfit shows it.

    A steady drift is, reading by reading, an error of the lower circle that grows round it; only the closing reading
    tells. Its size enters with the misfit itself, not corrected, and the standard uncertainty of the mean misfit
    (JCGM 100, F.2.4.5). That uncertainty is of what is known of the drift, and stays though scatter causes it.

    Misfits that the scatter alone may have made are in the uncertainty of type A already, and not counted again. A
    return run is read from its closing setting on: it drifts with the other sign, so that in forward and return runs a
    drift cancels from the mean, while their spread is that of the misfits in the order read.

    Runs round the circle alone tell what a whole turn makes of it. Those over arcs have other numbers of steps, which
    take other times; to scale them up would scale up their scatter too.
    """
    effect = Effect("ramp", circle="lower")
    if analysis.header.design.drift == "linear":
        return Line(
            "residual drift",
            effect=effect,
            counted=False,
            source="the drift is an unknown of the adjustment, and its uncertainty within type A",
        )
    misfit, as_read = _closing_misfits(analysis)
    if len(misfit) < 2:
        return Line("residual drift", effect=effect, source=NOT_YET)
    mean, spread = float(misfit.mean()), float(as_read.std(ddof=1)) / sqrt(len(misfit))
    adjustment = analysis.adjustment
    held = closing(as_read, float(np.sum(adjustment.residual**2)), adjustment.degrees_of_freedom).by_scatter
    source = f"closing misfits of {len(misfit)} runs: mean {mean:+.3g}″, standard uncertainty {spread:.2g}″"
    return Line(
        "residual drift",
        kind="A",
        distribution="normal",
        standard_uncertainty=hypot(mean, spread),
        degrees_of_freedom=_freedom_with_mean(mean, spread, len(misfit)),
        effect=effect,
        counted=not held,
        source=source.replace("-", "−") + (f"; {_HELD}" if held else ""),
    )


def _freedom_with_mean(mean: float, spread: float, count: int) -> float | None:
    """Return the degrees of freedom of u = root(mean² + spread²), where spread is the standard uncertainty of the mean.

    ½ (u/Δu)² (JCGM 100, G.4.2, equation G.3), with Δu from the uncertainty of the mean, spread, and from that of spread
    itself, spread / root(2 (count - 1)): count - 1 for a mean of 0, many for one that is large beside it. None where
    all misfits are the same.
    """
    if spread == 0:
        return None
    return 0.5 * (mean**2 + spread**2) ** 2 / (mean**2 * spread**2 + spread**4 / (2 * (count - 1)))


def _closing_misfits(analysis: Analysis) -> tuple[Floats, Floats]:
    """Return the closing misfits of runs round the circle, by step and in the order read, (R,) arc seconds each."""
    whole = slice(analysis.header.design.whole_runs)
    misfit = analysis.closing_misfit[whole]
    known = np.isfinite(misfit)
    return misfit[known], analysis.misfit_as_read[whole][known]


def _seating(sheet: _Sheet) -> Line:
    """Return the line of the circle's own seating, which every cell of the session has met already."""
    return Line(
        "seating repeatability of the circle",
        kind="A",
        distribution="normal",
        standard_uncertainty=sheet.number("standard_deviation_arcsec"),
        degrees_of_freedom=_positive(sheet.number("degrees_of_freedom")),
        effect=Effect("cell"),
        counted=False,
        source=f"{sheet.source}; {_HELD}" if sheet.source else _HELD,
    )


def _positive(value: float | None) -> float | None:
    return value if value is not None and value > 0 else None
