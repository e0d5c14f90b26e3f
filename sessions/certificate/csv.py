"""All results of a certificate as CSV, every digit there is, its columns described at the head of the file."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from io import StringIO

import numpy as np

from sessions.certificate.fine import FineSheet
from sessions.certificate.layout import authorised
from sessions.certificate.readiness import within_sentence
from sessions.certificate.results import CircleSheet
from sessions.certificate_data import Certificate
from sessions.spreadsheet import no_formulas
from solver.budget import Uncertainty
from solver.closure import Floats

#: Columns of the results, each with what it holds.
COLUMNS = {
    "circle": "lower or upper",
    "result": "position_error: about the mean of the circle; from_first: from position 0; interval_error: of one "
    "interval",
    "from_position": "position that the error counts from; empty for position_error",
    "position": "position of the error, or where the interval ends; 3+2/30 is two thirtieths of an interval beyond 3",
    "angle_deg": "nominal angle of that position, degrees",
    "error_arcsec": "actual minus nominal, in the direction of rising numbers, arc seconds; empty where it is not "
    "determined with its uncertainty",
    "standard_uncertainty_arcsec": "combined standard uncertainty with all lines of the budget",
    "expanded_uncertainty_arcsec": "U, standard uncertainty times coverage factor",
    "coverage_factor": "k; empty for an error that is 0 by definition",
    "effective_degrees_of_freedom": "of the standard uncertainty; inf where it counts as known",
}


def csv_text(certificate: Certificate) -> str:
    """Return the CSV: lines that begin with "#" say what it is, then one table of all results.

    The same certificate gives the same text. Numbers are written with all digits, so that reading them back gives the
    very values that the PDF and the HTML print rounded.
    """
    file = StringIO()
    for line in _head(certificate):
        file.write("# " + no_formulas(" ".join(line.split())) + "\n")
    writer = csv.writer(file, lineterminator="\n")
    writer.writerow(COLUMNS)
    for circle in certificate.circles:
        writer.writerows(_circle(circle))
        if circle.fine is not None:
            writer.writerows(_fine(circle, circle.fine))
    return file.getvalue()


def _head(certificate: Certificate) -> Iterator[str]:
    draft = "DRAFT of a calibration certificate" if certificate.draft else certificate.title
    yield f"{draft} {certificate.number}".strip()
    yield from (f"draft: {reason}" for reason in certificate.draft)
    yield from (f"not filled in: {name}" for name in certificate.empty)
    facts = (
        *certificate.parties,
        *certificate.items,
        *certificate.work,
        *certificate.conditions,
        *certificate.quality,
    )
    named = (
        *((within_sentence([fact.label]), fact.value) for fact in facts),
        *((f"{circle.words.item}, decision", circle.decided) for circle in certificate.circles),
        ("decision rule", certificate.decision_rule),
        ("fixed angle", certificate.reference_angle),
        *(("method", paragraph) for paragraph in certificate.method),
        ("traceability", certificate.traceability),
        ("uncertainty", certificate.uncertainty),
        *(("budget", line) for line in _budget(certificate)),
        *(("deviation", deviation) for deviation in certificate.deviations),
        ("remarks", certificate.remarks),
        ("authorised", authorised(certificate)),
        ("date of issue", f"{certificate.issued:%Y-%m-%d}"),
        ("session file", certificate.file),
        ("SHA-256 of the session file", certificate.digest),
        ("program", certificate.program),
    )
    yield from (f"{name}: {value}" for name, value in named if value)
    called = ", ".join(f"{circle.name}: the {circle.words.item}" for circle in certificate.circles)
    yield from (
        f"column {name}: {called if name == 'circle' else meaning}" for name, meaning in COLUMNS.items()
    )


def _budget(certificate: Certificate) -> Iterator[str]:
    """Yield the lines of the budget, which all circles share."""
    sheets = [circle.budget for circle in certificate.circles if circle.budget is not None]
    for row in sheets[0].rows if sheets else ():
        told = f"{row.name}; {row.figure}; {row.effect}"
        source = f"; source: {row.source}" if row.source else ""
        yield (told if row.counted else f"{told}; not counted") + source


def _circle(circle: CircleSheet) -> Iterator[list[object]]:
    errors, found = circle.errors, circle.uncertainty
    n = len(errors.position.value)
    angles = 360 * np.arange(n) / n
    here = range(n)
    yield from _rows(
        circle.name, "position_error", [""] * n, here, angles, errors.position.value, found.position
    )
    yield from _rows(
        circle.name, "from_first", [0] * n, here, angles, errors.from_first.value, found.from_first
    )
    ends = [(start + 1) % n for start in here]
    yield from _rows(
        circle.name, "interval_error", list(here), ends, angles[ends], errors.interval.value, found.interval
    )


def _fine(circle: CircleSheet, fine: FineSheet) -> Iterator[list[object]]:
    """Yield what was measured inside intervals: positions there are counted in parts of an interval."""
    m = fine.fine // len(circle.errors.position.value)
    inside = np.flatnonzero(fine.measured.at % m != 0)
    at = fine.measured.at[inside]
    angles, places = 360 * at / fine.fine, [f"{each // m}+{each % m}/{m}" for each in at]
    for result, start, values, u in (
        ("position_error", "", fine.measured.position.value, fine.uncertainty.position),
        ("from_first", 0, fine.measured.from_first.value, fine.uncertainty.from_first),
    ):
        columns = zip(places, angles, values[inside], *(each[inside] for each in _of(u)), strict=True)
        for position, angle, *numbers in columns:
            yield [
                circle.name,
                result,
                start,
                position,
                repr(float(angle)),
                *_numbers(*numbers),
            ]


def _of(u: Uncertainty) -> tuple[Floats, ...]:
    return u.standard, u.expanded, u.factor, u.freedom


def _rows(
    circle: str,
    result: str,
    start: list[object] | list[int] | list[str],
    to: range | list[int],
    angle: Floats,
    value: Floats,
    u: Uncertainty,
) -> Iterator[list[object]]:
    columns = zip(start, to, angle, value, u.standard, u.expanded, u.factor, u.freedom, strict=True)
    for first, position, at, *numbers in columns:
        yield [circle, result, first, position, repr(float(at)), *_numbers(*numbers)]


def _numbers(error: float, *uncertainty: float) -> list[str]:
    """Return error, standard and expanded uncertainty, factor and freedom; no error without its uncertainty."""
    known = np.nan if np.isnan(uncertainty[1]) else error
    return ["" if np.isnan(each) else repr(float(each)) for each in (known, *uncertainty)]
