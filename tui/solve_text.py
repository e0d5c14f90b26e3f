"""The results of a session as text for a terminal of 80 columns."""

from __future__ import annotations

import math
from itertools import zip_longest

from sessions.analysis import Analysis, Estimate, uncertainty_of
from sessions.circle_words import angle_words, by_faces, circle_names, step_words
from sessions.counted import counted, freedom_words
from sessions.design import Run
from sessions.flags import flag_words
from sessions.matrix import Snapshot
from sessions.rounding import decimals_for
from sessions.screening_words import cautions, not_tested
from sessions.single_words import dual_better, growth
from tui.views import reading_decimals
from tui.widgets.formats import plain, with_uncertainty, wrapped
from tui.widgets.marks import UNICODE as SIGNS
from tui.widgets.marks import Tone

_WIDTH = 80


def solve_text(snapshot: Snapshot, analysis: Analysis) -> str:
    """Return the results in lines: how good, the errors of the circles, the runs, what is suspect, what is missing."""
    parts = [
        _heading(snapshot, analysis),
        _quality(analysis),
        _errors(analysis),
        _fine(analysis),
        _runs(analysis),
    ]
    if analysis.flags:
        parts.append(["suspect, the heaviest first", *_flags(analysis, snapshot)])
    parts += [*(wrapped(words, _WIDTH) for words in cautions(analysis)), _not_tested(analysis)]
    if analysis.missing:
        parts.append([line for words in analysis.missing for line in wrapped(words, _WIDTH)])
    return "\n\n".join("\n".join(part) for part in parts if any(part)) + "\n"


def _heading(snapshot: Snapshot, analysis: Analysis) -> list[str]:
    design = analysis.header.design
    cells = counted(design.planned_cells, "cell")
    readings = f"{counted(snapshot.accepted, 'reading')} in {len(analysis.cells)} of {cells}"
    return [analysis.header.title or "(no title)", readings + f", {snapshot.struck} struck"]


def _quality(analysis: Analysis) -> list[str]:
    adjustment = analysis.adjustment
    within, within_freedom = analysis.cells.repeatability
    lines = [
        _deviation(
            "residual standard deviation", adjustment.standard_deviation, adjustment.degrees_of_freedom
        ),
        _deviation("repeatability", within, within_freedom),
    ]
    if analysis.deviation_accepted:
        lines.append(
            "uncertainties are from the accepted standard deviation, as there is no degree of freedom"
        )
    return lines


def _deviation(name: str, value: float, freedom: int) -> str:
    if math.isnan(value):
        return f"{name:<28} not determined yet"
    return f"{name:<28} {plain(value, decimals_for(value), SIGNS)}{SIGNS.arcsec}, {freedom_words(freedom)}"


def _errors(analysis: Analysis) -> list[str]:
    """Return a table of position errors and of the errors of the intervals to the next position."""
    single = analysis.upper is None
    names = circle_names(analysis.header)
    what = "errors in arc seconds ± standard uncertainty of type A: position about the mean of the circle, "
    what += "position from position 0, " if single else ""
    lines = wrapped(what + "and interval to the next position", _WIDTH)
    heading = f"{'pos':>3} {'angle':>9}"
    columns = []
    for name, (_, errors) in zip(names, analysis.circles, strict=True):
        heading += f"{name:>8} {'':<7}"
        columns.append(_pairs(errors.position))
        if single:
            heading += f"{'from 0':>8} {'':<7}"
            columns.append(_pairs(errors.from_first))
        heading += f"{'interval':>8} {'':<7}"
        columns.append(_pairs(errors.interval))
    lines.append(heading.rstrip())
    n = analysis.header.design.positions
    for position, row in enumerate(zip_longest(*columns)):
        cells = "".join(f"{value:>8} ±{uncertainty:<6}" for value, uncertainty in row)
        lines.append(f"{position:>3} {angle_words(position, n):>9}{cells}".rstrip())
    if single:
        value, uncertainty = _pairs(analysis.reference)[0]
        lines += ["", f"error of the fixed angle: {value} ± {uncertainty}{SIGNS.arcsec} (standard, type A)"]
        lines += [line for words in _of_single(analysis) for line in wrapped(words, _WIDTH)]
    elif by_faces(analysis.header):
        lines += wrapped(
            f"Of the table, the {n} positions used are measured, {step_words(analysis.header.design)} apart.",
            _WIDTH,
        )
    return lines


def _of_single(analysis: Analysis) -> list[str]:
    """Say how the uncertainty grows from the start on, and whether two circles would do better."""
    return [
        words
        for words in (growth(analysis), dual_better(analysis.header.design, faces=by_faces(analysis.header)))
        if words
    ]


def _pairs(estimate: Estimate) -> list[tuple[str, str]]:
    return [
        with_uncertainty(float(value), float(uncertainty), SIGNS)
        for value, uncertainty in zip(estimate.value, estimate.uncertainty, strict=True)
    ]


def _runs(analysis: Analysis) -> list[str]:
    """Return a table of the runs round the circle, and one of the runs over arcs."""
    design = analysis.header.design
    if design.reading != "position" and (design.closure == "single" or design.drift == "none"):
        return []
    heading = f"{'run':>3} {'offset':>7} {'direction':>10} {'constant':>13} {'drift a step':>13} {'closing misfit':>15}"
    lines = [heading]
    lines += [
        f"{run.number:>3} {run.offset:>7} {run.direction:>10} {_of_run(analysis, run)}".rstrip()
        for run in design.runs[: design.whole_runs]
    ]
    lines += _splits(analysis)
    if not design.arcs:
        return lines
    lines += ["", "over arcs; offsets and steps are fine ones"]
    lines.append(
        f"{'run':>3} {'arc from':>10} {'offset':>8} {'direction':>10} {'constant':>13} {'drift a step':>13} "
        f"{'closing misfit':>15}"
    )
    for run in design.runs[design.whole_runs :]:
        start = angle_words(run.arc.start, design.fine) if run.arc else ""
        place = f"{run.number:>3} {start:>10} {run.offset:>8} {run.direction:>10}"
        lines.append(f"{place} {_of_run(analysis, run)}".rstrip())
    return lines


def _splits(analysis: Analysis) -> list[str]:
    """Return a line for each split, with the constant from there on."""
    constant, decimals = analysis.adjustment.constant.value, _decimals(analysis)
    lines = []
    for run, step in analysis.splits:
        found = float(constant[analysis.group_of(run, step)])
        words = "not determined" if math.isnan(found) else plain(found, decimals, SIGNS)
        lines.append(f"run {run} is split: from step {step} on the constant is {words}; no closing misfit")
    return lines


def _decimals(analysis: Analysis) -> int:
    return decimals_for(analysis.deviation)


def _of_run(analysis: Analysis, run: Run) -> str:
    """Return constant, drift and closing misfit of a run, in columns; the last two in the order read.

    Intervals share no constant and do not close.
    """
    adjustment, decimals = analysis.adjustment, _decimals(analysis)
    constant = misfit = drift = ""
    if analysis.header.design.reading == "position":
        constant = plain(float(adjustment.constant.value[run.number]), decimals, SIGNS)
        misfit = plain(float(analysis.misfit_as_read[run.number]), decimals, SIGNS)
    if analysis.header.design.drift != "none":
        drift = plain(float(analysis.drift_as_read[run.number]), decimals + 1, SIGNS)
    return f"{constant:>13} {drift:>13} {misfit:>15}"


def _fine(analysis: Analysis) -> list[str]:
    """Return a table of the position errors at every fine position that some run stops at, circle by circle."""
    design = analysis.header.design
    if not design.arcs:
        return []
    names = circle_names(analysis.header)
    lines = wrapped(
        f"fine positions, {angle_words(1, design.fine)} apart, where a run stops: errors in arc seconds ± standard "
        "uncertainty, about the mean of the positions above and from position 0",
        _WIDTH,
    )
    for name, (circle, _) in zip(names, analysis.circles, strict=True):
        measured = analysis.adjustment.measured(circle)
        pairs = [
            [
                with_uncertainty(float(value), float(u), SIGNS)
                for value, u in zip(values.value, uncertainty_of(values, analysis.deviation), strict=True)
            ]
            for values in (measured.position, measured.from_first)
        ]
        lines.append(f"{'pos':>7} {'angle':>9}{name:>10} {'':<7}{'from 0':>10}")
        for at, *row in zip(measured.at, *pairs, strict=True):
            cells = "".join(f"{value:>10} ±{uncertainty:<6}" for value, uncertainty in row)
            lines.append(f"{at:>7} {angle_words(int(at), design.fine):>9}{cells}".rstrip())
    return lines


def _not_tested(analysis: Analysis) -> list[str]:
    """Say what the absence of flags does not rest on."""
    untested = not_tested(analysis)
    return ["not tested, and why", *(f"  {line}" for line in untested)] if untested else []


def _flags(analysis: Analysis, snapshot: Snapshot) -> list[str]:
    decimals = reading_decimals(analysis.header, snapshot)
    lines = []
    for flag in analysis.flags:
        first, *rest = wrapped(flag_words(flag, analysis.header, decimals=decimals), _WIDTH - 4)
        lines += [f"  {SIGNS.mark(Tone.STRONG_SUSPECT if flag.strong else Tone.SUSPECT)} {first}"]
        lines += [f"    {line}" for line in rest]
    return lines
