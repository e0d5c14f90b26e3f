"""The readings of a session as CSV: a matrix as `fullturn import` takes it, or a list of all of them."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable
from pathlib import Path

from sessions.circle_words import angle_words
from sessions.design import Design, Run
from sessions.import_grid import Delimiter
from sessions.import_numbers import Decimal
from sessions.matrix import Snapshot
from sessions.output import write_output
from sessions.spreadsheet import no_formula
from solver.refused import Refused

LONG_HEADING = ("entry", "time", "run", "offset", "step", "value", "status", "reason")
ARC_HEADING = ("arc",)


def export_matrix(snapshot: Snapshot, delimiter: Delimiter = ",", decimal: Decimal = ".") -> str:
    """Return the accepted readings as a matrix: a row for each step, a column for each run.

    Repeats of a cell stand in further rows of the same step, in the order taken. Numbers are as short as they
    can be without losing a digit, in the unit of the session.

    Raises
    ------
    Refused
        Where there are arcs: their steps are not those of the runs round the circle.
    """
    design = snapshot.header.design
    if design.arcs:
        raise Refused(
            "the steps over an arc are not those round the circle, so one matrix cannot hold both",
            remedy="write the list of all readings instead, by --long",
        )
    rows: list[list[str]] = [[_corner(design), *(_run_heading(run, design) for run in design.runs)]]
    for step in design.steps:
        cells = [
            [reading.value for reading in snapshot.readings(run.number, step) if reading.counts]
            for run in design.runs
        ]
        for repeat in range(max(1, *(len(cell) for cell in cells))):
            values = [_number(cell[repeat], decimal) if repeat < len(cell) else "" for cell in cells]
            rows.append([design.step_words(0, step), *values])
    return _csv(rows, delimiter)


def export_long(snapshot: Snapshot, delimiter: Delimiter = ",", decimal: Decimal = ".") -> str:
    """Return all readings as a list, one row each in the order taken, struck ones with their reasons.

    A reason that a spreadsheet would take for a formula stands behind an apostrophe. Only where there are arcs a column
    says between which angles of the lower circle a run goes over one, empty for a run round the circle; the offset of
    such a run is in fine steps.
    """
    design = snapshot.header.design
    runs = design.runs
    found = [(reading, run, step) for (run, step), readings in snapshot.cells.items() for reading in readings]
    heading = (*LONG_HEADING[:5], *ARC_HEADING, *LONG_HEADING[5:]) if design.arcs else LONG_HEADING
    rows: list[Iterable[str]] = [heading]
    for reading, run, step in sorted(found, key=lambda each: each[0].number):
        place = (str(number) for number in (run, runs[run].offset, step))
        value = _number(reading.value, decimal)
        rows.append(
            (
                str(reading.number),
                reading.time.isoformat(),
                *place,
                *(_arc_ends(runs[run], design) if design.arcs else ()),
                value,
                reading.status,
                no_formula(reading.reason),
            )
        )
    return _csv(rows, delimiter)


def write_csv(path: Path, text: str) -> None:
    """Write a text to a new file, in UTF-8; where it needs more than ASCII a mark tells spreadsheets so.

    Raises
    ------
    Refused
        Where the file is there already or cannot be written.
    """
    data = text.encode("ascii" if text.isascii() else "utf-8-sig")
    write_output(path, data, remedy="choose another name")


def _corner(design: Design) -> str:
    words = [f"{design.positions} positions"]
    if design.reading == "interval":
        words.append("single closure" if design.closure == "single" else "interval")
    return f"step ({', '.join(words)})"


def _run_heading(run: Run, design: Design) -> str:
    words = f"run {run.number}"
    if design.closure == "dual":
        words += f" offset {run.offset}"
    return words if design.direction == "forward" else f"{words} {run.direction}"


def _arc_ends(run: Run, design: Design) -> tuple[str]:
    if run.arc is None:
        return ("",)
    start, end = run.arc.start, (run.arc.start + design.subdivision) % design.fine
    return (f"{angle_words(start, design.fine)} to {angle_words(end, design.fine)}",)


def _number(value: float, decimal: Decimal) -> str:
    return repr(value).replace(".", decimal)


def _csv(rows: Iterable[Iterable[str]], delimiter: Delimiter) -> str:
    text = io.StringIO(newline="")
    csv.writer(text, delimiter=delimiter).writerows(rows)
    return text.getvalue()
