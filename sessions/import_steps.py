"""Which step each row of a table is, and so how many positions the circle has."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import isnan

from sessions.design import MOST_POSITIONS
from sessions.import_block import ROUNDED, Block
from sessions.import_labels import StepLabel
from sessions.import_wanted import Wanted
from solver.closure import Kind, ReadingMode
from solver.refused import Refused

_SETTLE_READING = "say --reading position or --reading interval"


@dataclass(frozen=True, slots=True)
class Steps:
    """The rows understood: `step` holds one for each row of readings."""

    positions: int
    closure: Kind
    reading: ReadingMode
    closing: bool
    step: tuple[int, ...]


def find_steps(block: Block, wanted: Wanted) -> Steps:
    """Find the step of each row.

    Raises
    ------
    Refused
        Where rows and positions do not fit, or more than one number of positions does.
    """
    closure = wanted.closure or ("single" if block.corner.single else "dual")
    reading = wanted.reading
    if reading is None and (closure == "single" or block.corner.interval):
        reading = "interval"
    positions = _said_positions(block, wanted)
    if block.labels is None:
        found = _counted(block, wanted, closure, reading or "position", positions)
    else:
        found = _labelled(block, block.labels, wanted, closure, reading, positions)
    if not 2 <= found.positions <= MOST_POSITIONS:
        raise Refused(
            f"a circle of {found.positions} positions cannot be closed",
            where=f"rows {block.rows[0] + 1} to {block.rows[-1] + 1}",
            remedy=f"2 to {MOST_POSITIONS} are possible; check the rows and --positions",
        )
    return found


def _said_positions(block: Block, wanted: Wanted) -> int | None:
    found = block.corner.positions
    if wanted.positions is not None and found is not None and wanted.positions != found:
        raise Refused(
            f"the heading says {found} positions, --positions says {wanted.positions}",
            where=block.label_name(block.header or 0),
            remedy="drop one of them",
        )
    return wanted.positions if wanted.positions is not None else found


def _counted(
    block: Block, wanted: Wanted, closure: Kind, reading: ReadingMode, positions: int | None
) -> Steps:
    """Count the steps of rows without labels."""
    many = (wanted.repeats or 1) if wanted.repeated == "rows" else 1
    rows, odd = divmod(len(block.rows), many)
    where = f"rows {block.rows[0] + 1} to {block.rows[-1] + 1}"
    if odd:
        raise Refused(
            f"{len(block.rows)} rows cannot be {many} to a step", where=where, remedy="check --repeats"
        )
    if reading == "interval":
        if positions not in (None, rows):
            raise _unfit(rows, positions, "", where)
        positions, closing, first = rows, False, 1
    else:
        positions, closing = _with_or_without_closing(wanted, rows, positions, where)
        first = 0
    step = tuple(first + place // many for place in range(len(block.rows)))
    return Steps(positions, closure, reading, closing, step)


def _with_or_without_closing(
    wanted: Wanted, rows: int, positions: int | None, where: str
) -> tuple[int, bool]:
    if positions is None:
        if wanted.closing is None:
            raise Refused(
                f"{rows} rows are {rows - 1} positions with a closing reading, or {rows} without one",
                where=where,
                remedy=f"say --positions {rows - 1}, or --positions {rows}",
            )
        return rows - int(wanted.closing), wanted.closing
    if rows == positions + 1 and wanted.closing is not False:
        return positions, True
    if rows == positions:
        return positions, bool(wanted.closing)
    closing = "" if wanted.closing is False else f" and {positions + 1} with closing readings"
    raise _unfit(rows, positions, closing, where)


def _unfit(rows: int, positions: int | None, closing: str, where: str) -> Refused:
    many = f"say --repeats {rows // positions} rows" if positions and rows >= 2 * positions else ""
    return Refused(
        f"there are {rows} rows; {positions} positions make {positions}{closing}",
        where=where,
        remedy=many or "name the steps in a first column, or give the range of the table with --cells",
    )


def _labelled(
    block: Block,
    labels: tuple[StepLabel, ...],
    wanted: Wanted,
    closure: Kind,
    reading: ReadingMode | None,
    positions: int | None,
) -> Steps:
    """Take the steps from their labels."""
    found = _from_angles(block, labels)
    if found is not None:
        positions = _agree(block, found[0], positions)
        step = found[1]
    else:
        positions, step = _closing_last(block, labels, positions)
    if reading is None:
        reading = _reading_by(block, step)
    first = 0 if reading == "position" else 1
    if positions is None:
        positions = _positions_by(block, wanted, reading, max(step))
    for row, each in zip(block.rows, step, strict=True):
        if not first <= each <= positions:
            raise Refused(
                f"step {each} is none of {first} to {positions}, by {reading}",
                where=block.label_name(row),
                remedy="check the labels, --positions and --reading",
            )
        if reading == "position" and each == positions and wanted.closing is False:
            raise Refused(
                "this is a closing reading, and --no-closing says that there is none",
                where=block.label_name(row),
                remedy="drop --no-closing, or give the range of the table with --cells",
            )
    if wanted.repeated == "rows" and any(step.count(each) > (wanted.repeats or 1) for each in set(step)):
        raise Refused(
            f"more than {wanted.repeats} rows name the same step",
            where=block.label_name(block.rows[0]),
            remedy="check --repeats and the labels",
        )
    closing = reading == "position" and (positions in step if wanted.closing is None else wanted.closing)
    return Steps(positions, closure, reading, closing, step)


def _from_angles(block: Block, labels: tuple[StepLabel, ...]) -> tuple[int, tuple[int, ...]] | None:
    """Return positions and steps where the labels are angles; a closing label counts as the whole turn."""
    angles = sorted({label.value for label in labels if label.kind == "angle"} | {0.0})
    if not any(label.kind == "angle" for label in labels):
        return None
    if len(angles) < 2:
        raise Refused(
            "one angle alone does not tell the positions",
            where=block.label_name(block.rows[0]),
            remedy="number the steps from 0",
        )
    apart = min(high - low for low, high in pairwise(angles))
    positions = round(360 / apart)
    step = []
    for row, label in zip(block.rows, labels, strict=True):
        if label.kind == "closing":
            step.append(positions)
            continue
        nearest = round(label.value * positions / 360)
        if label.kind == "step" or abs(label.value - nearest * 360 / positions) > ROUNDED:
            raise Refused(
                f"{label.value:g} is no step of a circle of {positions} positions",
                where=block.label_name(row),
                remedy="check the angles; equal steps from 0° are needed",
            )
        step.append(nearest)
    return positions, tuple(step)


def _agree(block: Block, found: int, said: int | None) -> int:
    if said is not None and said != found:
        raise Refused(
            f"the angles are those of {found} positions, not {said}",
            where=block.label_name(block.rows[0]),
            remedy="check --positions and the angles",
        )
    return found


def _closing_last(
    block: Block, labels: tuple[StepLabel, ...], positions: int | None
) -> tuple[int | None, tuple[int, ...]]:
    """Return the steps of numbered rows; a row that says it is the closing one tells the positions."""
    numbered = [int(label.value) for label in labels if label.kind == "step"]
    step: list[int] = []
    for row, label in zip(block.rows, labels, strict=True):
        if label.kind != "closing":
            step.append(int(label.value))
            continue
        last = max(numbered, default=-1) + 1
        number = (positions or last) if isnan(label.value) else int(label.value)
        if positions not in (None, number):
            raise Refused(
                f"step {number} is called the closing reading of {positions} positions",
                where=block.label_name(row),
                remedy="check --positions and the labels",
            )
        positions = number
        step.append(number)
    return positions, tuple(step)


def _reading_by(block: Block, step: tuple[int, ...]) -> ReadingMode:
    if min(step) == 0:
        return "position"
    raise Refused(
        f"the steps begin at {min(step)}: read by interval, or positions numbered otherwise",
        where=block.label_name(block.rows[0]),
        remedy=f"{_SETTLE_READING}; by position the steps are numbered from 0",
    )


def _positions_by(block: Block, wanted: Wanted, reading: ReadingMode, last: int) -> int:
    if reading == "interval":
        return last
    if wanted.closing is None:
        raise Refused(
            f"steps 0 to {last} are {last} positions with a closing reading, or {last + 1} without one",
            where=block.label_name(block.rows[-1]),
            remedy=f"say --positions {last}, or --positions {last + 1}",
        )
    return last if wanted.closing else last + 1
