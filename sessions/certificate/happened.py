"""What did not go as planned, gathered from the record: splits, strikes, cells left out, readings that lack."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from sessions.bench import Bench, Place
from sessions.counted import counted, counted_are, verb_for
from sessions.entries import Amend, Entry, Restore, Split
from sessions.flow import SLIP
from sessions.header import Header
from sessions.matrix import RunStep, Snapshot

#: Cells that are named one by one.
_MOST_NAMED = 8


def left_out(snapshot: Snapshot) -> tuple[RunStep, ...]:
    """Return the cells whose readings are all struck and are not to be read again.

    What was struck as a typing slip is to be typed again, as long as the zero of its run is the present one.
    """
    bench, last = Bench(snapshot.header), snapshot.last
    at = None if last is None else Place(last.run, last.step)
    return tuple(
        sorted(
            (run, step)
            for (run, step), readings in snapshot.cells.items()
            if readings
            and not any(reading.counts for reading in readings)
            and (readings[-1].reason != SLIP or not bench.in_reach(run, at, snapshot.count))
        )
    )


def happened(header: Header, snapshot: Snapshot, entries: Iterable[Entry]) -> tuple[str, ...]:
    """Return in sentences what the record holds beside readings as planned; nothing where there is nothing.

    Parameters
    ----------
    header : Header
        With its amendments.
    snapshot : Snapshot
        The readings.
    entries : iterable of Entry
        Of the session.
    """
    entries = tuple(entries)
    told = _splits(snapshot, entries)
    if snapshot.struck:
        told.append(f"{counted_are(snapshot.struck, 'reading', 'were')} struck.")
    out = left_out(snapshot)
    if out:
        all_of = "its readings are" if len(out) == 1 else "their readings are"
        told.append(f"{_cells(out)} {verb_for(len(out), 'were')} left out, as all {all_of} struck.")
    kept = sum(reading.status == "kept" for readings in snapshot.cells.values() for reading in readings)
    if kept:
        told.append(f"{counted_are(kept, 'flagged reading', 'were')} kept on purpose.")
    fewer = [
        place
        for place, readings in sorted(snapshot.cells.items())
        if 0 < sum(reading.counts for reading in readings) < header.design.repeats
    ]
    if fewer:
        told.append(
            f"{_cells(fewer)} {verb_for(len(fewer), 'hold')} fewer readings than the {header.design.repeats} planned."
        )
    if any(isinstance(entry, Amend) for entry in entries):
        told.append("The plan or what it names was amended.")
    return tuple(told)


def _splits(snapshot: Snapshot, entries: Sequence[Entry]) -> list[str]:
    undone = {entry.entry for entry in entries if isinstance(entry, Restore)}
    reasons = {
        (entry.run, entry.step): entry.reason
        for entry in entries
        if isinstance(entry, Split) and entry.number not in undone
    }
    return [
        f"Run {run} has a constant of its own from step {step} on: {reasons.get((run, step), 'split')}."
        for run, step in snapshot.splits
    ]


def _cells(places: Sequence[RunStep]) -> str:
    number = counted(len(places), "cell")
    if len(places) > _MOST_NAMED:
        return number
    return f"{number} ({', '.join(f'run {run} step {step}' for run, step in places)})"
