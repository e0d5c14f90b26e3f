"""Who read, and which circles: what the plan of a session names, filled in or corrected with the certificate."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sessions.amend import amended
from sessions.circle_words import circle_words
from sessions.form_values import positive
from sessions.header import Header
from sessions.session import Session
from solver.refused import Refused

_OF_CIRCLE = {"name": "name", "serial": "serial number", "tolerance": "tolerance, ± ″"}


def named_labels(header: Header) -> dict[str, str]:
    """Return the label of each field, by its place in the header, such as "lower.serial"."""
    labels = {"operator": "Operator"}
    for which, words in zip(("lower", "upper"), circle_words(header), strict=False):
        labels |= {f"{which}.{key}": f"{words.heading}: {label}" for key, label in _OF_CIRCLE.items()}
    return labels


def named(header: Header) -> dict[str, str]:
    """Return what the header says in each of these fields, as one would type it."""
    found = {}
    for field in named_labels(header):
        part, _, key = field.rpartition(".")
        value = getattr(getattr(header, part) if part else header, key, None)
        found[field] = "" if value is None else f"{value:g}" if isinstance(value, float) else value
    return found


def with_names(header: Header, typed: Mapping[str, str]) -> Header:
    """Return the header with the fields as typed.

    Raises
    ------
    Refused
        With the field in `where`.
    """
    for field, value in _changes(header, typed).items():
        header = amended(header, field, value)
    return header


def record_names(session: Session, typed: Mapping[str, str]) -> None:
    """Record an amendment for each field that says something else now.

    Raises
    ------
    Refused
        Before anything is recorded, where a field does not fit, with the field in `where`; or where nothing can be
        recorded.
    """
    before = named(session.header)
    changes = _changes(session.header, typed)
    with_names(session.header, typed)
    for field, value in changes.items():
        how = "corrected" if before[field] else "filled in"
        session.amend(field, value, f"{how} with the certificate")


def _changes(header: Header, typed: Mapping[str, str]) -> dict[str, Any]:
    before = named(header)
    changes: dict[str, Any] = {}
    for field, text in typed.items():
        if text == before[field]:
            continue
        changes[field] = _tolerance(field, text) if field.endswith(".tolerance") else text
    return changes


def _tolerance(field: str, text: str) -> float:
    if not text:
        raise Refused(
            "an agreed tolerance cannot be left out again", where=field, remedy="type it, or another one"
        )
    try:
        return positive(text)
    except Refused as refused:
        raise Refused(
            f"“{text}” is no tolerance", where=field, remedy="a number of arc seconds above 0"
        ) from refused
