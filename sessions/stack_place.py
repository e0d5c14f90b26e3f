"""Where the stack stands, told from the record alone, so that a session opened again goes on as it was left."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from sessions.bench import Bench, Place
from sessions.entries import Entry, Reading, Strike
from sessions.matrix import Matrix

#: How the reason of a strike begins where a suggestion was accepted: the reading that follows was not read anew.
RETYPED = "retyped as suggested"


def stack_place(entries: Sequence[Entry], matrix: Matrix, bench: Bench) -> Place | None:
    """Return the place of the last reading that was read at the bench; None before the first.

    That is one that counts, or whose digits were put right as suggested: what was struck for another reason is read
    again, and a value put right was not read anew. Readings added to a run whose zero was gone do not count either: the
    bench goes on where it was.
    """
    read = _read_at_the_bench(entries, matrix)
    last = next(read, None)
    while last is not None:
        if bench.keeps_no_zero:
            return Place(last.run, last.step)
        before = next((each for each in read if each.run != last.run), None)
        if before is None or not _begun_before(matrix, last.run, before.number):
            return Place(last.run, last.step)
        last = before
    return None


def retyped(entries: Sequence[Entry], index: int) -> Strike | None:
    """Return the strike that the reading at an index of the entries followed as what was meant; None else."""
    before = entries[index - 1] if index else None
    return before if isinstance(before, Strike) and before.reason.startswith(RETYPED) else None


def _read_at_the_bench(entries: Sequence[Entry], matrix: Matrix) -> Iterator[Reading]:
    """Yield readings, the newest first."""
    put_right = set[int]()
    for index in range(len(entries) - 1, -1, -1):
        entry = entries[index]
        if not isinstance(entry, Reading):
            continue
        strike = retyped(entries, index)
        if strike is not None:
            put_right.add(strike.entry)
            continue
        found = matrix.reading(entry.number)
        if entry.number in put_right or (found is not None and found.counts):
            yield entry


def _begun_before(matrix: Matrix, run: int, number: int) -> bool:
    """Return whether a reading of a run that counts was taken before entry `number`."""
    return any(
        reading.number < number
        for step in matrix.header.design.steps_of(run)
        for reading in matrix.readings(run, step)
        if reading.counts
    )
