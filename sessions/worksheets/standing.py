"""Which worksheets of a session are done, and what they said."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sessions.entries import Entry, Setup, newest_records
from sessions.worksheets import WORKSHEETS
from sessions.worksheets.sheet import Worksheet


@dataclass(frozen=True, slots=True)
class Standing:
    """A worksheet and its latest record, None where it was not done."""

    worksheet: Worksheet
    latest: Setup | None
    times: int

    @property
    def verdict(self) -> str:
        """What it said in words: "passes", "does not pass", "not decided", or "not done"."""
        return "not done" if self.latest is None else str(self.latest.result.get("verdict", ""))

    @property
    def found(self) -> str:
        """What it found, in a sentence."""
        return "" if self.latest is None else str(self.latest.result.get("found", ""))


def standings(entries: Sequence[Entry]) -> tuple[Standing, ...]:
    """Return every worksheet, in order, with its latest record among the entries."""
    records: dict[str, list[Setup]] = {worksheet.name: [] for worksheet in WORKSHEETS}
    for entry in entries:
        if isinstance(entry, Setup) and entry.worksheet in records:
            records[entry.worksheet].append(entry)
    found = ((worksheet, records[worksheet.name]) for worksheet in WORKSHEETS)
    return tuple(Standing(worksheet, done[-1] if done else None, len(done)) for worksheet, done in found)


def latest_result(entries: Sequence[Entry], worksheet: Worksheet) -> Mapping[str, Any]:
    """Return what a worksheet gave when it was recorded last, empty where it was not."""
    newest = newest_records(entries).get(worksheet.name)
    return {} if newest is None else newest.result
