"""A circle taken apart as text for a terminal of 80 columns."""

from __future__ import annotations

import math

import numpy as np

from sessions.analysis import Analysis
from sessions.circle_analysis import LEVEL, CircleAnalysis, tooth_words
from sessions.circle_words import angle_words
from sessions.counted import counted, counted_are
from sessions.rounding import decimals_for
from solver.extremes import Difference
from tui.analysis_rows import HarmonicRows
from tui.widgets.formats import fit, plain, with_uncertainty, wrapped
from tui.widgets.marks import UNICODE as SIGNS

WIDTH = 80
#: Up to so many orders all are listed; of more only those that say something.
_ALL = 36


def analyse_text(analysis: Analysis, circle: CircleAnalysis, teeth: tuple[int, ...] = ()) -> str:
    """Return the harmonics, what remains without some, and the largest errors, in lines."""
    parts = [
        [fit(analysis.header.title or "(no title)", WIDTH, SIGNS), _heading(circle)],
        _harmonics(circle),
        [
            line
            for words in (tooth_words(each, circle.positions) for each in teeth)
            for line in wrapped(words, WIDTH)
        ],
        [line for words in summary(circle) for line in wrapped(words, WIDTH)],
        _errors(circle),
        [line for words in notes(circle, analysis) for line in wrapped(words, WIDTH)],
    ]
    return "\n\n".join("\n".join(part) for part in parts if part) + "\n"


def _heading(circle: CircleAnalysis) -> str:
    return f"{circle.name}, {circle.positions} positions {angle_words(1, circle.positions)} apart"


def _harmonics(circle: CircleAnalysis) -> list[str]:
    rows = HarmonicRows(circle, WIDTH, SIGNS)
    count = len(circle.found.order)
    shown = list(range(count))
    if count > _ALL:
        telling = circle.significant | np.isin(circle.found.order, circle.removed) | (circle.found.order <= 2)
        shown = [index for index in range(count) if telling[index]]
    lines = ["; ".join(rows.titles), rows.heading, *(rows.row(index) for index in shown)]
    left = np.setdiff1d(np.arange(count), shown)
    if left.size:
        largest = left[np.argmax(circle.found.amplitude[left])]
        amplitude = float(circle.found.amplitude[largest])
        at = circle.found.order[largest]
        lines.append(
            f"{counted(left.size, 'order')} more, none significant, the largest {_short(amplitude)}″ at {at}"
        )
    return lines


def summary(circle: CircleAnalysis) -> tuple[str, ...]:
    """Return sentences on the size of the errors, before and after what was taken off."""
    before, after = circle.root_mean_square
    words = circle.words
    interval_error = "error from a face to the next" if words.place == "face" else "interval error"
    said = [
        f"Root mean square of the {words.error}s {_short(before)}″.",
        f"Largest {interval_error}: {_difference(circle, circle.interval, 0)}.",
        f"Largest error between any two {words.place}s: {_difference(circle, circle.between, 1)}.",
    ]
    if circle.removed:
        word = "order" if len(circle.removed) == 1 else "orders"
        orders = ", ".join(map(str, circle.removed))
        interval = _difference(circle, circle.interval_left, 2)
        between = _difference(circle, circle.between_left, 3)
        said += [
            f"Without {word} {orders}: root mean square {_short(after)}″.",
            f"Then the largest {interval_error}: {interval}.",
            f"Then the largest error between any two {words.place}s: {between}.",
        ]
    found = circle.eccentricity
    if found is not None:
        value, uncertainty = with_uncertainty(found.value, found.expanded, SIGNS)
        said.append(
            f"As an eccentricity of a circle of {found.diameter:g} mm in diameter, order 1 is "
            f"{value.removeprefix('+')} ± {uncertainty} µm."
        )
    known = uncertainty_words(circle)
    return (*said, f"{known}.") if known else tuple(said)


def uncertainty_words(circle: CircleAnalysis) -> str:
    """Say in few words what stands behind ±; "" where nothing does."""
    low, high = circle.u.factors
    if not math.isfinite(low):
        return ""
    k = f"{low:.2f}" if f"{low:.2f}" == f"{high:.2f}" else f"{low:.2f} to {high:.2f}"
    lines = circle.u.lines
    behind = (
        f"with {counted(lines, 'line')} of the budget"
        if lines
        else "type A only: "
        + ("no line of the budget counts" if circle.u.recorded else "no budget is recorded")
    )
    return f"± U, k = {k} for {100 * circle.u.probability:.4g} %, {behind}"


def notes(circle: CircleAnalysis, analysis: Analysis) -> tuple[str, ...]:
    """Return what is to be known when reading the numbers."""
    n, orders = circle.positions, len(circle.found.order)
    chance = LEVEL * orders
    said = [
        f"{n} positions show orders 1 to {orders}. A higher one of the circle falls on one of these: "
        f"{n - 1} and {n + 1} on 1, {n - 2} and {n + 2} on 2, and so on."
    ]
    if analysis.flags:
        said.append(f"{counted_are(len(analysis.flags), 'reading')} suspect: what follows may be of them.")
    if analysis.header.design.arcs:
        said.append(
            "Taken apart are the positions round the circle; what runs over arcs measured is not in it."
        )
    if math.isfinite(analysis.deviation) and analysis.deviation > 0:
        said.append(
            f"p: probability with which scatter alone makes as much; of {orders} orders about {chance:.1f} are below "
            f"{LEVEL:g} by chance, so ** keeps to {LEVEL:g} for all orders together. Amplitudes that are not far above "
            "their uncertainty are found too large."
        )
        said.append(
            "The largest errors were picked out, so scatter enlarges them; their uncertainty is that of a pair chosen "
            "beforehand."
        )
        doubtful = circle.within_budget
        if doubtful:
            orders_named = ", ".join(map(str, doubtful))
            said.append(
                f"Order {orders_named}: beyond scatter, but within its uncertainty; what the budget names may make it."
            )
    else:
        said.append(
            "The scatter of a cell is not known: no uncertainty, and no verdict on what is significant."
        )
    return tuple(said)


def _errors(circle: CircleAnalysis) -> list[str]:
    """Return the errors position by position: about the mean, summed up from position 0, and what remains."""
    lines = [
        "errors in arc seconds ± expanded uncertainty: about the mean, from position 0, and what remains",
        f"{'pos':>4} {'angle':>9}{'about mean':>12} {'':<7}{'from 0':>10} {'':<7}"
        + (f"{'remains':>10}" if circle.removed else ""),
    ]
    if not circle.removed:
        lines[0] = lines[0].replace(", from position 0, and what remains", ", and from position 0")
    estimates = [(circle.position, circle.u.position), (circle.from_first, circle.u.from_first)]
    if circle.removed:
        estimates.append((circle.remaining, circle.u.remaining))
    for position in range(circle.positions):
        line = f"{position:>4} {angle_words(position, circle.positions):>9}"
        for width, (estimate, u) in zip((12, 10, 10), estimates, strict=False):
            value, uncertainty = with_uncertainty(
                float(estimate.value[position]), float(u.expanded[position]), SIGNS
            )
            line += f"{value:>{width}} ±{uncertainty:<6}"
        lines.append(line.rstrip())
    return [each for line in lines[:1] for each in wrapped(line, WIDTH)] + [
        each.rstrip() for each in lines[1:]
    ]


def _difference(circle: CircleAnalysis, found: Difference, place: int) -> str:
    expanded = float(circle.u.largest.expanded[place])
    value, uncertainty = with_uncertainty(found.value, expanded, SIGNS)
    start, to = (angle_words(each, circle.positions) for each in (found.start, found.to))
    words = f"{value}″" + (f" ± {uncertainty}″" if math.isfinite(expanded) else "")
    words += f" from {found.start} ({start}) to {found.to} ({to})"
    if math.isfinite(found.limit) and found.limit > 0:
        words += f", scatter alone up to {_short(found.limit)}″"
    return words


def _short(value: float) -> str:
    return plain(value, decimals_for(value), SIGNS)
