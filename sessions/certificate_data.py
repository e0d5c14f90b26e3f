"""Everything that a certificate says, as plain data: one source for PDF, HTML and CSV."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from hashlib import sha256
from importlib.metadata import version

import numpy as np

from sessions.analysis import Analysis, analyse
from sessions.budget import Expanded, expanded, freedom_of_scatter
from sessions.certificate.annex import (
    Annex,
    SetupCheck,
    annex,
    conditions_words,
    moment,
    setup_checks,
)
from sessions.certificate.details import LABELS, Details, details_of
from sessions.certificate.happened import happened
from sessions.certificate.numbers import between, decimals_of, pair, significant
from sessions.certificate.readiness import circles_of, draft_reasons, lacking, never_to_issue
from sessions.certificate.results import CircleSheet, circle_sheet
from sessions.certificate.words import (
    decision_rule,
    identified,
    method,
    reference_lines,
    traceability,
    uncertainty,
)
from sessions.counted import counted, freedom_words
from sessions.entries import Conditions, Entry
from sessions.header import Header
from sessions.matrix import Snapshot
from sessions.model_checks import ModelCheck, cell_times, model_checks
from sessions.session import Session
from solver.closure import Floats, Ints
from solver.decision import Verdict

TITLE = "Calibration certificate"


@dataclass(frozen=True, slots=True)
class Fact:
    """A labelled line; an empty value is not filled in."""

    label: str
    value: str


@dataclass(frozen=True, slots=True)
class Residuals:
    """Residuals as the plot of them needs: (N,) arrays in the order of time, arc seconds."""

    run: Ints
    step: Ints
    value: Floats
    standardized: Floats


@dataclass(frozen=True, slots=True)
class Certificate:
    """A certificate, or a draft of one.

    Parameters
    ----------
    title, number : str
        Heading, and the unique number; empty while there is none.
    details : Details
        As recorded.
    draft : tuple of str
        Why this is a draft; empty for a certificate.
    readings_open : bool
        Whether it is one because of the readings: cells missing, values not determined, flags.
    empty : tuple of str
        Labels of what else is not filled in, without which it is a certificate all the same.
    issued : date
        Date of issue.
    parties, items, work : tuple of Fact
        Who, what, and when and where.
    method : tuple of str
        How, in paragraphs.
    conditions : tuple of Fact
        Surroundings.
    quality : tuple of Fact
        Readings, degrees of freedom, standard deviations.
    traceability, uncertainty, decision_rule : str
        The statements.
    circles : tuple of CircleSheet
        The calibrated items, lower first.
    reference_angle : str
        Error of the fixed angle of a single closure, in words; empty otherwise.
    checks : tuple of ModelCheck
        Whether the model holds.
    setup : tuple of SetupCheck
        Worksheets of the setup.
    deviations : tuple of str
        What the record holds beside readings as planned, then what a person wrote.
    remarks : str
        As recorded.
    annex : Annex
        Readings and log.
    residuals : Residuals
        For the plot.
    file, digest, program : str
        Name and SHA-256 of the session file, and the program with its version.
    flags : int
        How many flags stand.
    """

    title: str
    number: str
    details: Details
    draft: tuple[str, ...]
    readings_open: bool
    empty: tuple[str, ...]
    issued: date
    parties: tuple[Fact, ...]
    items: tuple[Fact, ...]
    work: tuple[Fact, ...]
    method: tuple[str, ...]
    conditions: tuple[Fact, ...]
    quality: tuple[Fact, ...]
    traceability: str
    uncertainty: str
    decision_rule: str
    circles: tuple[CircleSheet, ...]
    reference_angle: str
    checks: tuple[ModelCheck, ...]
    setup: tuple[SetupCheck, ...]
    deviations: tuple[str, ...]
    remarks: str
    annex: Annex
    residuals: Residuals
    file: str
    digest: str
    program: str
    flags: int

    @property
    def attention(self) -> bool:
        """Whether something needs attention: readings, flags, or an item that does not conform."""
        decisions = [circle.decision for circle in self.circles]
        decisions += [circle.fine.decision for circle in self.circles if circle.fine is not None]
        fails = any(decision is not None and decision.verdict is Verdict.FAILS for decision in decisions)
        return self.readings_open or bool(self.flags) or fails


@dataclass(frozen=True, slots=True)
class Basis:
    """What a certificate is gathered from, as it stood at one moment.

    Parameters
    ----------
    snapshot : Snapshot
        Readings and amended header.
    entries : tuple of Entry
        All that was recorded.
    file, digest : str
        Name and SHA-256 of the session file that holds just that.
    """

    snapshot: Snapshot
    entries: tuple[Entry, ...]
    file: str
    digest: str

    @classmethod
    def of(cls, session: Session) -> Basis:
        """Take it from a session, on the thread that writes to it: nothing comes between its parts."""
        return cls(
            session.matrix.snapshot(),
            tuple(session.entries),
            session.path.name,
            sha256(session.path.read_bytes()).hexdigest(),
        )


def certificate(session: Session, issued: date, *, details: Details | None = None) -> Certificate:
    """Gather a certificate from a session, open in any way; see `certificate_of`."""
    return certificate_of(Basis.of(session), issued, details=details)


def certificate_of(basis: Basis, issued: date, *, details: Details | None = None) -> Certificate:
    """Gather a certificate.

    Parameters
    ----------
    basis : Basis
        Of a session.
    issued : date
        Date of issue where none is recorded.
    details : Details, optional
        Other details than those recorded, to look at before recording them.

    Returns
    -------
    Certificate
        The same for the same file and date.

    Raises
    ------
    Refused
        Where a recorded budget or the recorded details do not fit.
    """
    snapshot, entries = basis.snapshot, basis.entries
    found = analyse(snapshot)
    said = details or details_of(entries)
    header = snapshot.header
    u = expanded(entries, found)
    readings_open = draft_reasons(header, snapshot, found)
    sheets = tuple(
        circle_sheet(name, circle, words, found, u, said.reference)
        for name, circle, words in circles_of(header)
        if said.items in ("both", name) or header.design.closure == "single"
    )
    return Certificate(
        title=TITLE,
        number=said.number,
        details=said,
        draft=(*never_to_issue(header, said, entries, _last(snapshot)), *readings_open),
        readings_open=bool(readings_open),
        empty=lacking(header, said, entries).other,
        issued=said.issue_date or issued,
        parties=_facts(said, "laboratory", "laboratory_address", "customer", "customer_address"),
        items=_items(header, said),
        work=_work(header, snapshot, said),
        method=method(header, said, snapshot.splits),
        conditions=_conditions(entries, said),
        quality=_quality(snapshot, found),
        traceability=traceability(header, said),
        uncertainty=uncertainty(
            u.budget, found.deviation, found.deviation_accepted, freedom_of_scatter(found)
        ),
        decision_rule=decision_rule(
            said,
            tuple(sheet.words for sheet in sheets if sheet.decision is not None),
            bool(header.design.arcs),
        ),
        circles=sheets,
        reference_angle=_reference_angle(found, u),
        checks=model_checks(entries, snapshot, found),
        setup=setup_checks(entries),
        deviations=(*happened(header, snapshot, entries), *([said.deviations] if said.deviations else [])),
        remarks=said.remarks,
        annex=annex(header, entries, snapshot),
        residuals=_residuals(snapshot, found),
        file=basis.file,
        digest=basis.digest,
        program=f"Fullturn {version('fullturn')}",
        flags=len(found.flags),
    )


def _facts(details: Details, *names: str) -> tuple[Fact, ...]:
    return tuple(Fact(LABELS[name], getattr(details, name)) for name in names)


def _items(header: Header, details: Details) -> tuple[Fact, ...]:
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
    facts.append(Fact(LABELS["condition"], details.condition))
    if details.received:
        facts.append(Fact(LABELS["received"], details.received))
    if header.design.arcs:
        steps = f"{header.design.subdivision} to an interval, {360 / header.design.fine:.7g}° each"
        facts.insert(-1 if not details.received else -2, Fact("Fine steps over arcs", steps))
    return tuple(facts)


def _last(snapshot: Snapshot) -> datetime | None:
    """Return when the last reading was taken, struck ones too."""
    times = [reading.time for readings in snapshot.cells.values() for reading in readings]
    return max(times, default=None)


def _work(header: Header, snapshot: Snapshot, details: Details) -> tuple[Fact, ...]:
    times = [reading.time for readings in snapshot.cells.values() for reading in readings]
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


def _conditions(entries: Iterable[Entry], details: Details) -> tuple[Fact, ...]:
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


def _quality(snapshot: Snapshot, analysis: Analysis) -> tuple[Fact, ...]:
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
    for run in analysis.header.design.runs:
        misfit = float(analysis.closing_misfit[run.number])
        if np.isfinite(misfit):
            back = run.direction == "return"
            ways.setdefault(run.direction, []).append(-misfit if back else misfit)
    decimals = decimals_of(analysis.deviation) if analysis.deviation > 0 else 2
    told = [
        f"{between(known, decimals)}″ in {counted(len(known), f'{way} run' if len(ways) > 1 else 'run')}"
        for way, known in ways.items()
    ]
    if not told:
        return "none read" if not split else "none but of split runs"
    last = "; last minus first reading" if "return" in ways else ""
    return "; ".join(told) + last + (f"; without {counted(len(split), 'split run')}" if split else "")


def _reference_angle(analysis: Analysis, expanded: Expanded) -> str:
    u = expanded.reference
    if u is None:
        return ""
    nominal = 360 / analysis.header.design.positions
    value, expanded_u = float(analysis.reference.value[0]), float(u.expanded[0])
    if not (np.isfinite(value) and np.isfinite(expanded_u)):
        return f"By how much the fixed angle differs from {nominal:.7g}° is not determined."
    error, guard = pair(value, expanded_u)
    told = f"The fixed angle differs from {nominal:.7g}° by {error}″ ± {guard}″"
    if expanded_u > 0:
        told += f" (U, k = {float(u.factor[0]):.2f})"
    return f"{told}, {reference_lines(expanded.budget)}."


def _residuals(snapshot: Snapshot, analysis: Analysis) -> Residuals:
    order = np.argsort(cell_times(snapshot, analysis), kind="stable")
    adjustment, cells = analysis.adjustment, analysis.cells
    spread = adjustment.standard_deviation * np.sqrt(np.maximum(1 - adjustment.leverage, 0.0))
    told = spread > 0
    standardized = np.where(told, adjustment.residual / np.where(told, spread, 1.0), np.nan)
    return Residuals(cells.run[order], cells.step[order], adjustment.residual[order], standardized[order])
