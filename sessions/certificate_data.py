"""Everything that a certificate says, as plain data: one source for PDF, HTML and CSV."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from hashlib import sha256
from importlib.metadata import version

import numpy as np

from sessions.analysis import Analysis, analyse
from sessions.budget import Expanded, expanded, freedom_of_scatter
from sessions.certificate.annex import (
    Annex,
    SetupCheck,
    annex,
    setup_checks,
)
from sessions.certificate.details import Details, details_of
from sessions.certificate.facts import Fact, conditions, items, quality, reading_times, said_of, work
from sessions.certificate.happened import happened
from sessions.certificate.numbers import pair
from sessions.certificate.readiness import circles_of, draft_reasons, lacking, never_to_issue
from sessions.certificate.results import CircleSheet, circle_sheet
from sessions.certificate.words import (
    decision_rule,
    method,
    reference_lines,
    traceability,
    uncertainty,
)
from sessions.entries import Entry
from sessions.matrix import Snapshot
from sessions.model_checks import ModelCheck, cell_times, model_checks
from sessions.session import Session
from solver.closure import Floats, Ints
from solver.decision import Verdict

TITLE = "Calibration certificate"


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
        The statements; no rule where nothing is decided.
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
    decided = tuple(sheet.words for sheet in sheets if sheet.decision is not None)
    return Certificate(
        title=TITLE,
        number=said.number,
        details=said,
        draft=(
            *never_to_issue(header, said, entries, max(reading_times(snapshot), default=None)),
            *readings_open,
        ),
        readings_open=bool(readings_open),
        empty=lacking(header, said, entries).other,
        issued=said.issue_date or issued,
        parties=said_of(said, "laboratory", "laboratory_address", "customer", "customer_address"),
        items=items(header, said),
        work=work(header, snapshot, said),
        method=method(header, said, snapshot.splits),
        conditions=conditions(entries, said),
        quality=quality(snapshot, found),
        traceability=traceability(header, said),
        uncertainty=uncertainty(
            u.budget, found.deviation, found.deviation_accepted, freedom_of_scatter(found)
        ),
        decision_rule=decision_rule(said, decided, bool(header.design.arcs)) if decided else "",
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
