"""What stays the same from one certificate to the next: taken from the newest session beside this one that has it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

from sessions.certificate.details import Details, as_typed, details_of
from sessions.counted import counted
from sessions.newest import newest_first
from solver.refused import Refused

#: Details of the laboratory and how it works, not of one item or one day.
LASTING: tuple[str, ...] = (
    "laboratory",
    "laboratory_address",
    "place",
    "instrument",
    "instrument_calibration",
    "method",
    "reference",
    "decision_rule",
    "authorised_by",
    "authorised_as",
)


def earlier_details(path: Path) -> tuple[Details, str] | None:
    """Return the lasting details of the newest other real session of the folder that has any, and its file's name."""
    for session in newest_first(path.parent, path):
        try:
            found = details_of(session.entries)
        except Refused:
            continue
        lasting = replace(Details(), **{name: getattr(found, name) for name in LASTING})
        if lasting != Details():
            return lasting, session.path.name
    return None


def filled_in(typed: Mapping[str, str], earlier: Details) -> dict[str, str]:
    """Return what an earlier certificate gives for fields that nobody filled in, or that stand at their usual value."""
    usual = Details()
    return {
        name: known
        for name in LASTING
        if typed.get(name) in ("", str(getattr(usual, name)))
        and (known := as_typed(str(getattr(earlier, name)))) not in ("", typed[name])
    }


def filled_words(count: int, file: str) -> str:
    """Say how many fields were filled in and from where."""
    if not count:
        return f"{file} has nothing that is still empty here."
    return f"{counted(count, 'field')} filled in from {file}: look through, then record."
