"""What stands between a session and its certificate: readings, and what is not filled in."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from math import isfinite

from sessions.analysis import Analysis
from sessions.budget import Budget, budget_of
from sessions.certificate.details import ASKED, LABELS, Details
from sessions.certificate.happened import left_out
from sessions.certificate.identification import named, named_labels
from sessions.circle_words import Words, circle_words
from sessions.counted import counted, verb_for
from sessions.entries import Conditions, Entry
from sessions.equipment import Circle
from sessions.flags import flag_words
from sessions.header import Header
from sessions.matrix import Snapshot
from sessions.practice.parameters import is_practice


def circles_of(header: Header) -> tuple[tuple[str, Circle, Words], ...]:
    """Return side, circle and words of each circle that the session has."""
    circles = (header.lower, header.upper or Circle())
    return tuple(zip(("lower", "upper"), circles, circle_words(header), strict=False))


def draft_reasons(header: Header, snapshot: Snapshot, analysis: Analysis) -> tuple[str, ...]:
    """Return why a certificate of this session would be a draft; nothing where it would not.

    A cell whose readings are all struck was left out on purpose; it is named among the deviations.
    """
    reasons = []
    unread = header.design.planned_cells - snapshot.filled - len(left_out(snapshot))
    if unread:
        cells = counted(header.design.planned_cells, "cell")
        reasons.append(f"{unread} of {cells} {verb_for(unread)} not read yet")
    reasons += analysis.missing
    if not analysis.missing and not isfinite(analysis.deviation):
        reasons.append(
            "no uncertainty is determined: no degree of freedom, and no standard deviation accepted beforehand"
        )
    reasons += [f"flag: {flag_words(flag, header, decimals=snapshot.decimals)}" for flag in analysis.flags]
    return tuple(reasons)


@dataclass(frozen=True, slots=True)
class Lacking:
    """Labels of what is not filled in.

    Parameters
    ----------
    needed : tuple of str
        What ISO/IEC 17025 asks of every certificate: without it there is only a draft. Where something does not apply,
        the words that say so fill it in.
    other : tuple of str
        What a reader would miss.
    """

    needed: tuple[str, ...]
    other: tuple[str, ...]

    @property
    def all(self) -> tuple[str, ...]:
        """Both."""
        return (*self.needed, *self.other)


def lacking(header: Header, details: Details, entries: Iterable[Entry]) -> Lacking:
    """Return what is not filled in (ISO/IEC 17025:2017, 7.6, 7.8.2.1 and 7.8.4.1; memory)."""
    entries = tuple(entries)
    labels, said = named_labels(header), named(header)
    empty = [field for field, text in said.items() if not text]
    needed = [LABELS[name] for name in ASKED if not getattr(details, name)]
    needed += [labels[field] for field in empty if field.endswith(".serial")]
    if not any(isinstance(entry, Conditions) and entry.temperature is not None for entry in entries):
        needed.append("Temperature")
    budget = budget_of(entries, header.design.positions) or Budget()
    if not any(line.assessed for line in budget.lines):
        needed.append("Uncertainty budget, without which type A stands alone")
    # A line that would count and has no figure yet is missing from every uncertainty.
    needed += [
        f"Figure in the budget: {line.name}" for line in budget.lines if line.counted and not line.assessed
    ]
    other = [labels[field] for field in empty if field == "operator" or field.endswith(".name")]
    return Lacking(tuple(needed), tuple(other))


def within_sentence(labels: Sequence[str]) -> str:
    """Return labels as they are listed within a sentence."""
    return ", ".join(label[:1].lower() + label[1:] for label in labels)


def never_to_issue(
    header: Header, details: Details, entries: Iterable[Entry], last: datetime | None = None
) -> tuple[str, ...]:
    """Return what makes a draft of it however good the readings are.

    Parameters
    ----------
    header, details, entries : Header, Details, iterable of Entry
        Of the session.
    last : datetime, optional
        When the last reading was taken, before which nothing can be issued.
    """
    entries = tuple(entries)
    reasons = []
    if is_practice(entries):
        reasons.append("a specimen: the readings are simulated")
    if last is not None and details.issue_date is not None and details.issue_date < last.date():
        reasons.append(f"the date of issue lies before the last reading, of {last:%Y-%m-%d}")
    needed = lacking(header, details, entries).needed
    if needed:
        reasons.append(f"not filled in: {within_sentence(needed)}")
    return tuple(reasons)
