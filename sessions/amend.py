"""Amendments: a header with one field changed, as far as the readings allow it."""

from __future__ import annotations

from typing import Any

from sessions.design import Design
from sessions.fields import described, nearest
from sessions.header import KNOWN, Header, header_table, read_header
from sessions.matrix import Matrix
from solver.refused import Refused

_FIXED = ("format", "version")


def amended(header: Header, field: str, value: Any) -> Header:
    """Return the header with `field`, as "title" or "design.offsets", set to `value` (as in the file).

    Raises
    ------
    Refused
        Where there is no such field or the header would not be valid.
    """
    fields = {key for key in KNOWN[""] if key not in KNOWN and key not in _FIXED}
    fields |= {f"{table}.{key}" for table, keys in KNOWN.items() if table for key in keys}
    if field not in fields:
        raise Refused(
            f"there is no field {described(field)} to amend", where="field", remedy=nearest(field, fields)
        )
    table = header_table(header)
    part, _, key = field.rpartition(".")
    (table.setdefault(part, {}) if part else table)[key] = value
    return read_header(table)


def refuse_outside(matrix: Matrix, header: Header, field: str) -> None:
    """Refuse an amended header that does not fit the readings and splits recorded, struck readings too."""
    old, new = matrix.header.design, header.design
    taken = bool(matrix.places)
    # Offsets, arrangement and polarity may have been written down wrong, and a cell stays the cell that it is.
    for name in ("reading", "direction", "positions", "closure"):
        if taken and getattr(old, name) != getattr(new, name):
            raise Refused(
                f"{name} cannot change once readings are taken",
                where=field,
                remedy="begin a new session with the other design",
            )
    held = [run for run, _ in (*matrix.places, *matrix.splits) if run >= old.whole_runs]
    if held:
        _refuse_other_arcs(old, new, max(held), field)
    recorded = [("reading", place) for place in matrix.places] + [("split", place) for place in matrix.splits]
    for what, (run, step) in recorded:
        if run >= new.run_count or step not in new.steps_of(run):
            raise Refused(
                f"the {what} of run {run}, step {step} would lie outside the design",
                where=field,
                remedy="choose a design that holds all that is recorded, struck readings too",
            )


def _refuse_other_arcs(old: Design, new: Design, last: int, field: str) -> None:
    """Refuse to give the readings up to run `last`, over an arc, another run: runs over arcs come after the others."""
    count = last // old.ways + 1 - len(old.offsets)
    same = (old.positions, old.subdivision, len(old.offsets)) == (
        new.positions,
        new.subdivision,
        len(new.offsets),
    )
    if not same or old.arcs[:count] != new.arcs[:count]:
        raise Refused(
            "readings over an arc are recorded, and would belong to another run",
            where=field,
            remedy="leave offsets, subdivision and the arcs begun as they are; further arcs may follow them",
        )
