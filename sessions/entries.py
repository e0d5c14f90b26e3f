"""What can happen in a session: one frozen record for each kind of entry."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any


@dataclass(frozen=True, slots=True)
class Reading:
    """One value, in the instrument's unit and as typed, taken at a step of a run; it never changes."""

    number: int
    time: datetime
    run: int
    step: int
    value: float


@dataclass(frozen=True, slots=True)
class Strike:
    """Reading `entry` counts no longer, for a reason."""

    number: int
    time: datetime
    entry: int
    reason: str


@dataclass(frozen=True, slots=True)
class Restore:
    """Undoes the strike, keep or split of `entry`: number of the reading or of the entry to undo."""

    number: int
    time: datetime
    entry: int
    reason: str


@dataclass(frozen=True, slots=True)
class Conditions:
    """The surroundings: temperature in °C, pressure in hPa, relative humidity in %, and a remark."""

    number: int
    time: datetime
    temperature: float | None
    pressure: float | None
    humidity: float | None
    remark: str


@dataclass(frozen=True, slots=True)
class Note:
    """A text that somebody wanted to keep."""

    number: int
    time: datetime
    text: str


@dataclass(frozen=True, slots=True)
class Amend:
    """A header field, as "design.offsets", its new value as in the file, and the reason."""

    number: int
    time: datetime
    field: str
    value: Any
    reason: str


@dataclass(frozen=True, slots=True)
class Setup:
    """What a setup worksheet gave."""

    number: int
    time: datetime
    worksheet: str
    result: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Keep:
    """Reading `entry` was flagged and is kept on purpose, for a reason."""

    number: int
    time: datetime
    entry: int
    reason: str


@dataclass(frozen=True, slots=True)
class Split:
    """The mirror was knocked: the run has another constant from `step` on than below it.

    The change lies between `step` - 1 and `step` in a return run as well, which is read downwards.
    """

    number: int
    time: datetime
    run: int
    step: int
    reason: str


Entry = Reading | Strike | Restore | Conditions | Note | Amend | Setup | Keep | Split


def newest_records(entries: Iterable[Entry]) -> dict[str, Setup]:
    """Return the newest record of each worksheet by its name, in the order in which each was recorded first."""
    return {entry.worksheet: entry for entry in entries if isinstance(entry, Setup)}
