"""The results of one circle as a certificate gives them: a table, what is largest, the budget, the decision."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sessions.analysis import Analysis, CircleErrors
from sessions.budget import (
    MOST_PAIRS,
    CircleUncertainty,
    Expanded,
    freedom_of_scatter,
    least_known,
    of_any_two,
    scatter_line,
)
from sessions.certificate.decided import decision_on, decision_words, worst_of
from sessions.certificate.details import Reference
from sessions.certificate.fine import FineSheet, decided_fine, fine_sheet
from sessions.certificate.harmonics import harmonic_words
from sessions.certificate.numbers import between, columns_of, pair, significant
from sessions.certificate.words import effect_words, from_words, identified
from sessions.circle_analysis import analyse_circle
from sessions.circle_words import Words, angle_words, item_names
from sessions.equipment import Circle
from solver.budget import Line, Uncertainty
from solver.closure import Floats
from solver.decision import Decision
from solver.spectrum import Spectrum, spectrum


@dataclass(frozen=True, slots=True)
class ResultRow:
    """One position: errors and expanded uncertainties as printed, arc seconds.

    `interval` is from this position to the next one.
    """

    position: str
    angle: str
    error: str
    error_u: str
    from_first: str
    from_first_u: str
    interval: str
    interval_u: str


@dataclass(frozen=True, slots=True)
class BudgetRow:
    """One component of a budget, as printed; `share` is its part of the variance, 0 to 1.

    `source` says where its figure is from, if that was written down.
    """

    name: str
    source: str
    figure: str
    effect: str
    freedom: str
    standard: str
    share: float
    counted: bool


@dataclass(frozen=True, slots=True)
class BudgetSheet:
    """The budget of one result: which it is, the components, and what they come to."""

    result: str
    rows: tuple[BudgetRow, ...]
    combined: str
    freedom: str
    factor: str
    expanded: str


@dataclass(frozen=True, slots=True)
class CircleSheet:
    """All that is said of one circle.

    Parameters
    ----------
    name : str
        "lower" or "upper".
    words : Words
        How it is spoken of.
    title : str
        What it is.
    tolerance : float or None
        Plus or minus arc seconds.
    rows : tuple of ResultRow
        One a position.
    factor : str
        The coverage factors of the table, or the range of them.
    largest : tuple of (str, str)
        What is largest, and what it is.
    decision : Decision or None
        None where no tolerance is agreed.
    decided : str
        The decision in words.
    budget : BudgetSheet or None
        Of the position error that is known least; None where none is determined with its uncertainty.
    errors : CircleErrors
    uncertainty : CircleUncertainty
    harmonics : tuple of (str, str)
        The largest orders that scatter does not explain, and what they are.
    amplitude_u : (H,) array
        Expanded uncertainty of each amplitude; empty where the circle is not determined.
    spectrum : Spectrum
        As numbers, for plots and tables.
    fine : FineSheet or None
        What runs over arcs measured; None without any.
    """

    name: str
    words: Words
    title: str
    tolerance: float | None
    rows: tuple[ResultRow, ...]
    factor: str
    largest: tuple[tuple[str, str], ...]
    decision: Decision | None
    decided: str
    budget: BudgetSheet | None
    errors: CircleErrors
    uncertainty: CircleUncertainty
    harmonics: tuple[tuple[str, str], ...]
    amplitude_u: Floats
    spectrum: Spectrum
    fine: FineSheet | None


def circle_sheet(
    name: str, circle: Circle, words: Words, analysis: Analysis, expanded: Expanded, reference: Reference
) -> CircleSheet:
    """Gather what is said of one circle.

    Parameters
    ----------
    name : str
        "lower" or "upper".
    circle, words : Circle, Words
        What it is, and how it is spoken of.
    analysis, expanded : Analysis, Expanded
        Of the session.
    reference : str
        What is decided on.
    """
    errors, found = dict(analysis.circles)[name], dict(expanded.circles)[name]
    fine = fine_sheet(name, analysis, expanded.budget, circle.tolerance, reference)
    both = ((errors.position.value, found.position), (errors.from_first.value, found.from_first))
    decision = decision_on(circle.tolerance, reference, *both)
    taken_apart = (
        analyse_circle(analysis, "lower" if name == "lower" else "upper", budget=expanded.budget)
        if np.isfinite(errors.position.value).all()
        else None
    )
    all_factors = np.concatenate([found.position.factor, found.from_first.factor, found.interval.factor])
    return CircleSheet(
        name=name,
        words=words,
        title=identified(circle),
        tolerance=circle.tolerance,
        rows=_rows(errors, found),
        factor=between(all_factors, 2),
        largest=_largest(name, words, analysis, expanded),
        decision=decision,
        decided=_decided(decision, fine, reference, words),
        budget=_budget(analysis, expanded, found, reference, words),
        errors=errors,
        uncertainty=found,
        harmonics=() if taken_apart is None else harmonic_words(taken_apart),
        amplitude_u=np.zeros(0) if taken_apart is None else taken_apart.u.amplitude.expanded,
        spectrum=spectrum(analysis.adjustment, name, analysis.deviation, freedom_of_scatter(analysis)),
        fine=fine,
    )


def _decided(decision: Decision | None, fine: FineSheet | None, reference: Reference, words: Words) -> str:
    """Return the decision in words; with arcs what holds for all positions comes first."""
    if decision is None:
        return "no tolerance is agreed"
    told = decision_words(decision, reference, words)
    if fine is None or fine.decision is None:
        return told
    together = worst_of(decision.verdict, fine.decision.verdict)
    return f"{together.value}; round the circle: {told}; {decided_fine(fine.decision, fine)}"


def _rows(errors: CircleErrors, found: CircleUncertainty) -> tuple[ResultRow, ...]:
    n = len(errors.position.value)
    columns = [
        *columns_of(errors.position.value, found.position.expanded),
        *columns_of(errors.from_first.value, found.from_first.expanded),
        *columns_of(errors.interval.value, found.interval.expanded),
    ]
    return tuple(
        ResultRow(str(position), angle_words(position, n), *values)
        for position, values in enumerate(zip(*columns, strict=True))
    )


def _largest(name: str, words: Words, analysis: Analysis, expanded: Expanded) -> tuple[tuple[str, str], ...]:
    errors, found = dict(analysis.circles)[name], dict(expanded.circles)[name]
    n = len(errors.position.value)
    told = []
    at = _farthest(errors.position.value)
    if at is not None:
        told.append(
            (
                f"Largest {words.error} about the mean{_round(analysis)}",
                f"{_stated(errors.position.value, found.position, at)} at {words.place} {at} ({angle_words(at, n)})",
            )
        )
    at = _farthest(errors.interval.value)
    if at is not None:
        told.append(
            (
                "Largest error from a face to the next"
                if words.place == "face"
                else f"Largest interval error{_round(analysis)}",
                f"{_stated(errors.interval.value, found.interval, at)} {_from_to(words, at, (at + 1) % n, n)}",
            )
        )
    if errors.position.value.size and np.isfinite(errors.position.value).all() and n <= MOST_PAIRS:
        told += _pairs(name, words, analysis, expanded)
    return tuple(told)


def _pairs(name: str, words: Words, analysis: Analysis, expanded: Expanded) -> list[tuple[str, str]]:
    """Return the two positions that differ most, and the largest uncertainty of any difference."""
    value = dict(analysis.circles)[name].position.value
    n = len(value)
    high, low = int(np.argmax(value)), int(np.argmin(value))
    difference, u = of_any_two(analysis, expanded.budget, name, np.array([high]), np.array([low]))
    first, second = np.triu_indices(n, 1)
    _, every = of_any_two(analysis, expanded.budget, name, second, first)
    lines = [
        (
            f"Largest error between two {words.place}s{_round(analysis)}",
            f"{_stated(difference, u, 0)} {_from_to(words, low, high, n)}",
        )
    ]
    at = least_known(every)
    if at is not None:
        lines.append(
            (
                f"Largest U of the error between any two{_round(analysis)}",
                f"{significant(float(every.expanded[at]))}″ (k = {every.factor[at]:.2f})",
            )
        )
    return lines


def _budget(
    analysis: Analysis, expanded: Expanded, found: CircleUncertainty, reference: Reference, words: Words
) -> BudgetSheet | None:
    """Return the budget of the error that is known least, of those that are decided on."""
    u = found.position if reference == "mean" else found.from_first
    at = least_known(u)
    if at is None:
        return None
    n = len(u.expanded)
    names = item_names(analysis.header)
    rows = [
        BudgetRow(
            name=line.name,
            source=" ".join(line.source.split()),
            figure=figure_words(line),
            effect="differs from cell to cell, averages down"
            if number == 0
            else effect_words(line, names, words.place),
            freedom=_freedom(line.freedom),
            standard=significant(float(u.components[number, at])),
            share=float(u.shares[number, at]),
            counted=line.counted and line.assessed,
        )
        for number, line in enumerate((scatter_line(analysis), *expanded.budget.lines))
    ]
    return BudgetSheet(
        result=f"{words.error} {from_words(reference, words)} at {words.place} {at} ({angle_words(at, n)}), "
        f"the least known{_round(analysis)}",
        rows=tuple(rows),
        combined=significant(float(u.standard[at])),
        freedom=_freedom(float(u.freedom[at])),
        factor=f"{u.factor[at]:.2f}",
        expanded=significant(float(u.expanded[at])),
    )


def figure_words(line: Line) -> str:
    """Return kind, figure and distribution of a line, as "B, ±0.02″ rectangular"."""
    if not line.assessed:
        return "not assessed"
    unit = "" if line.effect.kind == "proportional" and line.sensitivity == 1 else "″"
    if line.sensitivity != 1:
        unit = f" × {line.sensitivity:g}″"
    if line.half_width is not None:
        return f"{line.kind}, ±{significant(line.half_width)}{unit} {line.distribution}"
    return f"{line.kind}, {significant(line.standard_uncertainty or 0.0)}{unit} {line.distribution}"


def _freedom(freedom: float) -> str:
    if np.isinf(freedom):
        return "∞"
    return f"{freedom:.0f}" if freedom == int(freedom) or freedom >= 100 else f"{freedom:.1f}"


def _from_to(words: Words, start: int, to: int, n: int) -> str:
    if words.place == "face":
        return f"from face {start} ({angle_words(start, n)}) to face {to} ({angle_words(to, n)})"
    return f"from {angle_words(start, n)} to {angle_words(to, n)}"


def _round(analysis: Analysis) -> str:
    """Return where there are arcs that only the positions round the circle are meant."""
    return " of those round the circle" if analysis.header.design.arcs else ""


def _farthest(value: Floats) -> int | None:
    return int(np.nanargmax(np.abs(value))) if np.isfinite(value).any() else None


def _stated(value: Floats, u: Uncertainty, at: int) -> str:
    if not np.isfinite(u.expanded[at]):
        return "uncertainty not determined"
    error, expanded = pair(float(value[at]), float(u.expanded[at]))
    return f"{error}″ ± {expanded}″"
