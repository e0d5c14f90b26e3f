"""What PDF and HTML have in common: headings, notes, and how the reading matrix is cut into blocks."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from sessions.certificate.annex import KEPT, STRUCK, Grid
from sessions.certificate.facts import Fact
from sessions.certificate.fine import FineSheet
from sessions.certificate.readiness import within_sentence
from sessions.certificate_data import Certificate
from sessions.circle_words import Words

RESULTS_NOTE = (
    "Error: actual minus nominal angle. U: expanded uncertainty with k = {k}. Two significant digits of U, the error "
    "to match; all digits are in the CSV of this certificate. The largest were picked out, so scatter enlarges them; "
    "their U is that of errors chosen beforehand."
)
HARMONICS_NOTE = (
    "Amplitude of what comes so many times per turn in the errors, thin strokes: expanded uncertainty; dotted: what "
    "scatter alone exceeds with a probability of 5 %. Named below: the largest that scatter does not explain, even as "
    "one of all orders."
)
MATRIX_NOTE = (
    f"Rows are steps, columns are runs; {STRUCK} struck, so not counted, {KEPT} flagged and kept on purpose."
)
CHECKS_NOTE = "Tests at the 5 % level: of sound sessions each stands out in one of twenty."
NO_DEVIATION = "No deviation from the method is recorded."
DRAFT_WORDS = "DRAFT. This is no certificate yet:"
VALIDITY = (
    "The results relate only to the items named, as they were when calibrated. This certificate must not be "
    "reproduced except in full, unless the laboratory has agreed in writing. It makes no recommendation on when to "
    "calibrate again."
)
_MOST_LINES = 8


def results_heading(words: Words) -> tuple[str, ...]:
    """Return the headings of the table of results of a circle."""
    return (
        words.place,
        "angle",
        "error about\nthe mean, ″",
        "\nU, ″",
        f"error from\n{words.place} 0, ″",
        "\nU, ″",
        f"error of {words.interval}\nto the next, ″",
        "\nU, ″",
    )


def fine_heading(words: Words) -> tuple[str, ...]:
    """Return the headings of the table of fine positions of a circle."""
    return ("angle", "error about\nthe mean, ″", "\nU, ″", f"error from\n{words.place} 0, ″", "\nU, ″")


def fine_note(fine: FineSheet) -> str:
    """Return what stands above the table of fine positions."""
    told = (
        "Positions inside an interval at which a run over an arc stops, and the ends of that interval. The mean is "
        f"that of the positions round the circle. U: expanded uncertainty with k = {fine.factor}."
    )
    if fine.unknown:
        told += f" Between positions U is not determined, as nothing is known there of: {fine.unknown}."
    return told


def draft_lines(certificate: Certificate) -> tuple[str, ...]:
    """Return why this is a draft, the first few reasons and how many more there are."""
    lines = certificate.draft[:_MOST_LINES]
    more = len(certificate.draft) - len(lines)
    return (*lines, f"and {more} more") if more else lines


def empty_words(certificate: Certificate) -> str:
    """Return what is not filled in, in one sentence."""
    also = "Also not filled in" if certificate.draft else "Not filled in"
    return f"{also}: {within_sentence(certificate.empty)}."


def header(certificate: Certificate) -> str:
    """Return what stands at the head of every page but the first."""
    parts = [certificate.details.laboratory, f"{certificate.title} {certificate.number}".strip()]
    return "  ·  ".join(part for part in parts if part)


def footer(certificate: Certificate) -> str:
    """Return what stands at the foot of every page."""
    number = f"No. {certificate.number}" if certificate.number else "no number yet"
    return f"{number}  ·  {certificate.issued:%Y-%m-%d}  ·  session {certificate.digest[:16]}"


def identity(certificate: Certificate) -> tuple[Fact, ...]:
    """Return what ties the certificate to its data."""
    return (
        Fact("Date of issue", f"{certificate.issued:%Y-%m-%d}"),
        Fact("Session file", f"{certificate.file}\nSHA-256 {certificate.digest}"),
        Fact("Evaluated by", certificate.program),
    )


def authorised(certificate: Certificate) -> str:
    """Return who authorises, under the line for the signature."""
    details = certificate.details
    if not details.authorised_by:
        return "Authorised by: not filled in"
    return f"Authorised by {details.authorised_by}" + (
        f", {details.authorised_as}" if details.authorised_as else ""
    )


def blocks(grid: Grid, widths: Sequence[float], room: float) -> Iterator[tuple[int, list[float]]]:
    """Cut the columns of the reading matrix so that each block fits in a width.

    Yields
    ------
    first, columns
        Number of the first run of a block, and the widths of its columns.
    """
    first, columns = 0, list[float]()
    for run in range(len(grid.runs)):
        if columns and sum(columns) + widths[run] > room:
            yield first, columns
            first, columns = run, []
        columns.append(min(widths[run], room))
    if columns:
        yield first, columns
