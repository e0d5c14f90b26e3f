"""The labelled lines of a certificate: who, what, when and where, under which conditions, how well."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

import numpy as np

from sessions.air import conditions_words
from sessions.analysis import Analysis
from sessions.certificate.annex import moment
from sessions.certificate.details import LABELS, Details
from sessions.certificate.numbers import between, decimals_of, significant
from sessions.certificate.readiness import circles_of
from sessions.certificate.words import identified
from sessions.counted import counted, freedom_words
from sessions.entries import Conditions, Entry
from sessions.header import Header
from sessions.matrix import Snapshot


@dataclass(frozen=True, slots=True)
class Fact:
    """A labelled line; an empty value is not filled in."""

    label: str
    value: str


def said_of(details: Details, *names: str) -> tuple[Fact, ...]:
    """Return lines of what was filled in, by the names of the details."""
    return tuple(Fact(LABELS[name], getattr(details, name)) for name in names)


def items(header: Header, details: Details) -> tuple[Fact, ...]:
    """Return what was calibrated, its positions and its condition."""
    facts = []
    single = header.design.closure == "single"
    n = header.design.positions
    circles = circles_of(header)
    for name, circle, words in circles:
        helped = details.items not in ("both", name) and not single
        label = "Item" if single else f"Item, {words.item}"
        told = identified(circle)
        if circle.tolerance is not None:
            told += f"; tolerance ±{circle.tolerance:g}″"
        facts.append(Fact(f"Auxiliary, {words.item}" if helped else label, told))
    apart = f"{n}, {360 / n:.7g}° apart, numbered from 0"
    if circles[-1][2].place == "face":
        faces = apart if single else f"{apart}; of the {circles[0][2].item}, the {n} positions used"
        facts.append(Fact("Faces", faces))
    else:
        facts.append(Fact("Positions", apart))
    if header.design.arcs:
        steps = f"{header.design.subdivision} to an interval, {360 / header.design.fine:.7g}° each"
        facts.append(Fact("Fine steps over arcs", steps))
    facts.append(Fact(LABELS["condition"], details.condition))
    if details.received:
        facts.append(Fact(LABELS["received"], details.received))
    return tuple(facts)


def reading_times(snapshot: Snapshot) -> list[datetime]:
    """Return when readings were taken, struck ones too."""
    return [reading.time for readings in snapshot.cells.values() for reading in readings]


def work(header: Header, snapshot: Snapshot, details: Details) -> tuple[Fact, ...]:
    """Return when, where, with what and by whom it was read."""
    times = reading_times(snapshot)
    first, last = (min(times), max(times)) if times else (None, None)
    if first is None or last is None:
        dates = ""
    elif first.date() == last.date():
        dates = f"{first:%Y-%m-%d}"
    else:
        dates = f"{first:%Y-%m-%d} to {last:%Y-%m-%d}"
    instrument = header.instrument
    what = f"{instrument.kind}; {details.instrument}" if details.instrument else ""
    if instrument.resolution is not None and what:
        what += f"; resolution {instrument.resolution:g}{'″' if instrument.unit == 'arcsec' else ' µrad'}"
    return (
        Fact("Date of calibration", dates),
        Fact(LABELS["place"], details.place),
        Fact("Instrument", what),
        Fact("Operator", header.operator),
    )


def conditions(entries: Iterable[Entry], details: Details) -> tuple[Fact, ...]:
    """Return the surroundings as noted."""
    noted = [entry for entry in entries if isinstance(entry, Conditions)]
    facts = []
    for label, key, unit in (
        ("Temperature", "temperature", "°C"),
        ("Pressure", "pressure", "hPa"),
        ("Relative humidity", "humidity", "%"),
    ):
        values = [getattr(entry, key) for entry in noted if getattr(entry, key) is not None]
        decimals = max((len(f"{value:g}".partition(".")[2]) for value in values), default=0)
        if values or key == "temperature":
            words = (
                f"{between(values, decimals)} {unit}, noted {counted(len(values), 'time')}" if values else ""
            )
            facts.append(Fact(label, words))
    facts += [Fact(f"Noted {moment(entry.time)}", conditions_words(entry)) for entry in noted if entry.remark]
    if details.environment:
        facts.append(Fact("Further", details.environment))
    return tuple(facts)


def quality(snapshot: Snapshot, analysis: Analysis) -> tuple[Fact, ...]:
    """Return how many readings count, how they scatter, and how the runs close."""
    adjustment = analysis.adjustment
    within, within_freedom = analysis.cells.repeatability
    splits = f"; {counted(len(analysis.splits), 'run')} split" if analysis.splits else ""
    facts = [
        Fact(
            "Readings",
            f"{snapshot.accepted} in {len(analysis.cells)} of {analysis.header.design.planned_cells} cells, "
            f"{snapshot.struck} struck{splits}",
        ),
        Fact(
            "Scatter about the adjustment",
            _deviation(adjustment.standard_deviation, adjustment.degrees_of_freedom),
        ),
        Fact("Repeatability", _deviation(within, within_freedom)),
    ]
    if analysis.header.design.reading == "position" and analysis.header.design.closing:
        facts.append(Fact("Closing misfits", _misfits(analysis)))
    return tuple(facts)


def _deviation(value: float, freedom: int) -> str:
    if not np.isfinite(value):
        return "not determined"
    return f"standard deviation {significant(value)}″, {freedom_words(freedom)}"


def _misfits(analysis: Analysis) -> str:
    """Return the closing misfits of the runs that were not split, in the order in which each was read."""
    split = {run for run, _ in analysis.splits}
    ways: dict[str, list[float]] = {}
    as_read = analysis.misfit_as_read
    for run in analysis.header.design.runs:
        misfit = float(as_read[run.number])
        if np.isfinite(misfit):
            ways.setdefault(run.direction, []).append(misfit)
    decimals = decimals_of(analysis.deviation, otherwise=2)
    told = [
        f"{between(known, decimals)}″ in {counted(len(known), f'{way} run' if len(ways) > 1 else 'run')}"
        for way, known in ways.items()
    ]
    if not told:
        return "none read" if not split else "none but of split runs"
    last = "; last minus first reading" if "return" in ways else ""
    return "; ".join(told) + last + (f"; without {counted(len(split), 'split run')}" if split else "")
