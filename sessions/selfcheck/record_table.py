"""The record of a self-check as plain data, for JSON."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from sessions.json_values import number
from sessions.selfcheck.check import Outcome
from sessions.selfcheck.record import Record

FORMAT = "fullturn selfcheck"
VERSION = 1


def record_table(record: Record) -> dict[str, Any]:
    """Return a record as a table for a JSON writer; null for a value that was not obtained or is no finite number."""
    return {
        "format": FORMAT,
        "version": VERSION,
        "date": record.time.isoformat(),
        "computer": asdict(record.computer),
        "within_tolerance": record.within,
        "checks_off": len(record.off),
        "values": record.values,
        "checks": [_check(outcome) for outcome in record.outcomes],
    }


def _check(outcome: Outcome) -> dict[str, Any]:
    check = outcome.check
    obtained = outcome.obtained or (None,) * len(check.expected)
    return {
        "topic": check.topic,
        "name": check.name,
        "source": check.source,
        "mark": check.mark,
        "function": check.function,
        "unit": check.unit,
        "labels": list(check.expected),
        "expected": list(check.expected.values()),
        "obtained": [number(each) for each in obtained],
        "tolerance": check.tolerance,
        "largest_deviation": number(outcome.largest),
        "within_tolerance": outcome.within,
        "note": check.note,
        "error": outcome.error or None,
    }
