"""The annex of a certificate: every reading as typed, and everything else that was recorded."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sessions.air import conditions_words
from sessions.budget import WORKSHEET as BUDGET
from sessions.certificate.details import WORKSHEET as CERTIFICATE
from sessions.certificate.identification import named_labels
from sessions.circle_words import angle_words, circle_words
from sessions.counted import counted
from sessions.design import Design, Run
from sessions.entries import Amend, Conditions, Entry, Keep, Note, Restore, Split, Strike, newest_records
from sessions.header import Header
from sessions.matrix import CellReading, Snapshot
from sessions.rounding import written_decimals

STRUCK, KEPT = "×", "†"

#: Run and step of a reading, and the reading in words.
_Named = tuple[int, int, str]


@dataclass(frozen=True, slots=True)
class SetupCheck:
    """A setup worksheet: its name, verdict, what was found, and when."""

    name: str
    verdict: str
    found: str
    time: str


@dataclass(frozen=True, slots=True)
class LogLine:
    """Something recorded: number of the entry, time, what, and the words that go with it."""

    number: int
    time: str
    what: str
    words: str


@dataclass(frozen=True, slots=True)
class Grid:
    """The readings of runs of the same steps.

    Parameters
    ----------
    title : str
        Which runs these are; empty where all runs are alike.
    runs : tuple of str
        Heading of each column.
    steps : tuple of str
        Heading of each row.
    cells : tuple of tuple of str
        Readings by step, then by run: all of a cell, struck ones marked.
    """

    title: str
    runs: tuple[str, ...]
    steps: tuple[str, ...]
    cells: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class Annex:
    """The reading matrix and the log.

    Parameters
    ----------
    unit : str
        Of the readings.
    grids : tuple of Grid
        The runs round the circle, then those over each arc.
    log : tuple of LogLine
        Strikes, splits, amendments, notes, conditions.
    """

    unit: str
    grids: tuple[Grid, ...]
    log: tuple[LogLine, ...]


def annex(header: Header, entries: Iterable[Entry], snapshot: Snapshot) -> Annex:
    """Gather the annex of a session."""
    decimals = snapshot.decimals
    labels = named_labels(header)
    readings = {
        reading.number: (
            run,
            step,
            f"entry {reading.number}, run {run} step {step}, {typed(reading.value, decimals)}",
        )
        for (run, step), readings in snapshot.cells.items()
        for reading in readings
    }
    return Annex(
        unit="arc seconds" if header.instrument.unit == "arcsec" else "microradians",
        grids=_grids(header, snapshot, decimals),
        log=tuple(
            line
            for alike in _together(entries, readings)
            if (line := _logged(alike, readings, labels)) is not None
        ),
    )


def _together(entries: Iterable[Entry], named: Mapping[int, _Named]) -> list[tuple[Entry, ...]]:
    """Return entries one by one, but strikes of one run in a row and for one reason together."""
    found: list[tuple[Entry, ...]] = []
    for entry in entries:
        before = found[-1][-1] if found else None
        if (
            isinstance(entry, Strike)
            and isinstance(before, Strike)
            and entry.reason == before.reason
            and named[entry.entry][0] == named[before.entry][0]
        ):
            found[-1] = (*found[-1], entry)
        else:
            found.append((entry,))
    return found


def _grids(header: Header, snapshot: Snapshot, decimals: int) -> tuple[Grid, ...]:
    """Return a grid of the runs round the circle, and one of the runs over each arc."""
    design = header.design
    item, fine = circle_words(header)[0].item, design.fine
    groups: dict[int | None, list[Run]] = {}
    for run in design.runs:
        groups.setdefault(None if run.arc is None else run.arc.start, []).append(run)
    titles = {None: "Runs round the circle" if design.arcs else ""} | {
        start: f"Arc of the {item} from {angle_words(start, fine)} to "
        f"{angle_words((start + design.subdivision) % fine, fine)}, in steps of {angle_words(1, fine)}; "
        "offsets in steps"
        for start in groups
        if start is not None
    }
    return tuple(
        Grid(
            titles[start],
            tuple(_run_heading(run, design) for run in runs),
            tuple(design.step_words(runs[0].number, step) for step in design.steps_of(runs[0].number)),
            tuple(
                tuple(
                    "  ".join(_reading(reading, decimals) for reading in snapshot.readings(run.number, step))
                    for run in runs
                )
                for step in design.steps_of(runs[0].number)
            ),
        )
        for start, runs in groups.items()
    )


def _run_heading(run: Run, design: Design) -> str:
    words = f"run {run.number}"
    if design.closure == "dual":
        words += f"\noffset {run.offset}"
    return f"{words}\n{run.direction}" if design.direction == "forward and return" else words


def setup_checks(entries: Iterable[Entry]) -> tuple[SetupCheck, ...]:
    """Return the newest record of every setup worksheet, in the order in which each was recorded first."""
    return tuple(
        SetupCheck(
            name,
            str(entry.result.get("verdict", "")),
            str(entry.result["found"]) if entry.result.get("found") else _figures(entry.result),
            moment(entry.time),
        )
        for name, entry in newest_records(entries).items()
        if name not in (BUDGET, CERTIFICATE)
    )


def moment(time: datetime) -> str:
    """Return a time as it is printed, with its offset from UTC."""
    return time.isoformat(sep=" ", timespec="minutes")


def typed(value: float, decimals: int) -> str:
    """Return a reading with every digit that was typed, and zeros up to the resolution."""
    text = repr(value)
    if "e" in text:
        return text.replace("-", "−")
    return f"{value:.{max(decimals, written_decimals(value))}f}".replace("-", "−")


def _reading(reading: CellReading, decimals: int) -> str:
    mark = {"struck": STRUCK, "kept": KEPT}.get(reading.status, "")
    return typed(reading.value, decimals) + mark


def _logged(
    alike: tuple[Entry, ...], named: Mapping[int, _Named], labels: Mapping[str, str]
) -> LogLine | None:
    entry = alike[0]

    def line(what: str, words: str) -> LogLine:
        return LogLine(entry.number, moment(entry.time), what, " ".join(words.split()))

    match entry:
        case Strike():
            struck = [named[each.entry] for each in alike if isinstance(each, Strike)]
            return line("struck", f"{_struck_words(struck)}: {entry.reason}")
        case Keep():
            return line("kept", f"{named[entry.entry][2]}: {entry.reason}")
        case Restore():
            return line("restored", f"entry {entry.entry}" + (f": {entry.reason}" if entry.reason else ""))
        case Split():
            return line("split", f"run {entry.run} from step {entry.step} on: {entry.reason}")
        case Amend():
            return line("amended", f"{labels.get(entry.field, entry.field)} = {entry.value}: {entry.reason}")
        case Note():
            return line("note", entry.text)
        case Conditions():
            return line("conditions", conditions_words(entry))
        case _:
            return None


def _struck_words(struck: Sequence[_Named]) -> str:
    run, step, words = struck[0]
    if len(struck) == 1:
        return words
    steps = {step for _, step, _ in struck}
    where = f"step {step}" if len(steps) == 1 else f"steps {min(steps)} to {max(steps)}"
    return f"{counted(len(struck), 'reading')} of run {run}, {where}"


def _figures(result: Any) -> str:
    shown = [f"{key.replace('_', ' ')} {value}" for key, value in result.items() if key != "verdict"]
    return "; ".join(shown)
