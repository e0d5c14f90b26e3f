"""What stands between a session and its certificate: readings, and what is not filled in."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from sessions.analysis import Analysis
from sessions.budget import Budget, budget_of
from sessions.certificate.details import ASKED, LABELS, Details
from sessions.certificate.identification import named, named_labels
from sessions.certificate.numbers import counted
from sessions.circle_words import Words, circle_words
from sessions.entries import Conditions, Entry
from sessions.equipment import Circle
from sessions.flags import flag_words
from sessions.header import Header
from sessions.matrix import Snapshot
from sessions.practice.parameters import is_practice
from solver.budget import Line

#: Without these it is no certificate: who says it, about what, by which means (ISO/IEC 17025:2017, 7.8.2.1; memory).
NEEDED = ("number", "laboratory", "instrument", "authorised_by")


def circles_of(header: Header) -> tuple[tuple[str, Circle, Words], ...]:
    """Return side, circle and words of each circle that the session has."""
    circles = (header.lower, header.upper or Circle())
    return tuple(zip(("lower", "upper"), circles, circle_words(header), strict=False))


def draft_reasons(header: Header, snapshot: Snapshot, analysis: Analysis) -> tuple[str, ...]:
    """Return why a certificate of this session would be a draft; nothing where it would not."""
    reasons = []
    lacking = header.design.planned_cells - snapshot.filled
    if lacking:
        reasons.append(f"{lacking} of {counted(header.design.planned_cells, 'cell')} are not read yet")
    reasons += analysis.missing
    decimals = header.instrument.decimals or 3
    reasons += [f"flag: {flag_words(flag, header, decimals=decimals)}" for flag in analysis.flags]
    return tuple(reasons)


def empty_fields(header: Header, details: Details, entries: Iterable[Entry]) -> tuple[str, ...]:
    """Return the labels of what ISO/IEC 17025 asks for and is not filled in."""
    entries = tuple(entries)
    empty = [LABELS[name] for name in ASKED if not getattr(details, name)]
    labels = named_labels(header)
    empty += [
        labels[field]
        for field, text in named(header).items()
        if not text and not field.endswith(".tolerance")
    ]
    if not any(isinstance(entry, Conditions) and entry.temperature is not None for entry in entries):
        empty.append("Temperature")
    budget = budget_of(entries, header.design.positions)
    if budget is None:
        empty.append("Uncertainty budget, without which type A stands alone")
    else:
        empty += [f"Figure in the budget: {line.name}" for line in open_lines(budget)]
    return tuple(empty)


def open_lines(budget: Budget) -> tuple[Line, ...]:
    """Return the lines that would count and have no figure yet, so that the uncertainty is without them."""
    return tuple(line for line in budget.lines if line.counted and not line.assessed)


def within_sentence(labels: Sequence[str]) -> str:
    """Return labels as they are listed within a sentence."""
    return ", ".join(label[:1].lower() + label[1:] for label in labels)


def never_to_issue(header: Header, details: Details, entries: Iterable[Entry]) -> tuple[str, ...]:
    """Return what makes a draft of it however good the readings are: simulated ones, or nobody who answers for it."""
    reasons = []
    if is_practice(entries):
        reasons.append("a specimen: the readings are simulated")
    lacking = [LABELS[name] for name in NEEDED if not getattr(details, name)]
    labels = named_labels(header)
    lacking += [
        labels[field] for field, text in named(header).items() if not text and field.endswith(".serial")
    ]
    if lacking:
        reasons.append(f"not filled in: {within_sentence(lacking)}")
    return tuple(reasons)
