"""Where the stack stands, told from the record alone, so that a session opened again goes on as it was left."""

from __future__ import annotations

from collections.abc import Sequence

from sessions.bench import Bench, Place
from sessions.entries import Entry, Reading, Strike
from sessions.matrix import Matrix

#: How the reason of a strike begins where a suggestion was accepted: the reading that follows was not read anew.
RETYPED = "retyped as suggested"


def stack_place(entries: Sequence[Entry], matrix: Matrix, bench: Bench) -> Place | None:
    """Return the place of the last reading that was read at the bench; None before the first.

    A reading put right as suggested was not read anew. A run of which no reading counts is to be read again from its
    beginning, and that is where the stack goes.
    """
    for index in range(len(entries) - 1, -1, -1):
        entry = entries[index]
        if not isinstance(entry, Reading) or (index and _replaced(entries[index - 1])):
            continue
        begins = bench.begins(entry.run)
        if begins is None:
            return None
        return Place(entry.run, entry.step) if matrix.count[entry.run].any() else begins
    return None


def _replaced(before: Entry) -> bool:
    return isinstance(before, Strike) and before.reason.startswith(RETYPED)
