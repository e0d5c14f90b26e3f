"""Which run each column of a table is, at which offset, and which way it is read."""

from __future__ import annotations

from dataclasses import dataclass

from sessions.design import Direction, RunDirection
from sessions.import_block import ROUNDED, Block
from sessions.import_grid import cell_name, column_name
from sessions.import_labels import RunLabel, run_label
from sessions.import_steps import Steps
from sessions.import_wanted import Wanted
from sessions.new import read_offsets
from solver.refused import Refused

#: What tells one run from another: its number, offset and direction, as far as the labels say them.
_Key = tuple[int | None, int | None, RunDirection | None]


@dataclass(frozen=True, slots=True)
class Runs:
    """The columns understood: `run` holds one for each column of readings."""

    offsets: tuple[int, ...]
    direction: Direction
    run: tuple[int, ...]


def find_runs(block: Block, steps: Steps, wanted: Wanted) -> Runs:
    """Find the run of each column.

    Raises
    ------
    Refused
        Where offsets are not given, or columns may be repeats as well as runs.
    """
    labels = tuple(run_label(block.heading(column)) for column in block.columns)
    if steps.closure == "single":
        return _single(block, labels, wanted)
    if wanted.offsets:
        return _as_said(block, labels, steps, wanted)
    return _as_labelled(block, labels, steps, wanted)


def _single(block: Block, labels: tuple[RunLabel, ...], wanted: Wanted) -> Runs:
    if wanted.repeated == "columns" or not all(label.run is not None for label in labels):
        run = _side_by_side(block, wanted)
    else:
        numbers = sorted({label.run for label in labels if label.run is not None})
        run = tuple(numbers.index(label.run) for label in labels if label.run is not None)
    return Runs((0,) * (max(run) + 1), "forward", run)


def _side_by_side(block: Block, wanted: Wanted) -> tuple[int, ...]:
    """Return the run of each column where the repeats of a run stand side by side."""
    many = (wanted.repeats or 1) if wanted.repeated == "columns" else 1
    if len(block.columns) % many:
        raise Refused(
            f"{len(block.columns)} columns cannot be {many} to a run",
            where=_columns(block),
            remedy="check --repeats",
        )
    return tuple(place // many for place in range(len(block.columns)))


def _columns(block: Block) -> str:
    first, last = block.columns[0], block.columns[-1]
    return f"columns {column_name(first)} to {column_name(last)}"


def _as_said(block: Block, labels: tuple[RunLabel, ...], steps: Steps, wanted: Wanted) -> Runs:
    """Take the offsets that were said, in the order of the columns."""
    try:
        offsets = read_offsets(wanted.offsets, steps.positions)
    except Refused as refused:
        raise Refused(refused.what, where="--offsets", remedy="say it like --offsets 0 1 4") from None
    direction = wanted.direction or "forward"
    ways = 1 if direction == "forward" else 2
    run = _side_by_side(block, wanted)
    if max(run) + 1 != len(offsets) * ways:
        both = " forward and return" if ways == 2 else ""
        raise Refused(
            f"there are columns for {max(run) + 1} runs, and {len(offsets)} offsets{both}",
            where=_columns(block),
            remedy="give one offset for each run with --offsets, and say --repeats if columns are repeats",
        )
    for column, label, number in zip(block.columns, labels, run, strict=True):
        if label.offset is not None and label.offset != offsets[number // ways]:
            raise Refused(
                f"the heading says offset {label.offset}, --offsets says {offsets[number // ways]}",
                where=cell_name(block.header or 0, column),
                remedy="drop one of them",
            )
    return Runs(offsets, direction, run)


def _as_labelled(block: Block, labels: tuple[RunLabel, ...], steps: Steps, wanted: Wanted) -> Runs:
    """Take offsets, directions and repeats from the headings."""
    if block.header is None:
        raise Refused(
            "the offsets of the runs are not given",
            where=_columns(block),
            remedy="say --offsets, as --offsets 0 1 4",
        )
    offsets = _offsets(block, labels, steps.positions)
    keys = tuple((label.run, offset, label.direction) for label, offset in zip(labels, offsets, strict=True))
    run = _grouped(block, labels, keys, wanted)
    return _in_order(block, keys, run, wanted)


def _offsets(block: Block, labels: tuple[RunLabel, ...], positions: int) -> tuple[int, ...]:
    """Return the offset that each heading names."""
    bare = [label.plain for label in labels if label.plain is not None]
    if len(bare) == len(labels) and not block.corner.offsets:
        _refuse_run_numbers(block, bare, positions)
    found = []
    for column, label in zip(block.columns, labels, strict=True):
        where = cell_name(block.header or 0, column)
        offset = label.offset if label.offset is not None else label.plain
        if offset is None and label.angle is not None:
            offset = round(label.angle * positions / 360)
            if abs(label.angle - offset * 360 / positions) > ROUNDED:
                raise Refused(
                    f"{label.angle:g}° is no offset of {positions} positions",
                    where=where,
                    remedy="check the heading and --positions",
                )
        if offset is None:
            raise Refused(
                f"“{block.heading(column)}” names no offset",
                where=where,
                remedy="say --offsets, as --offsets 0 1 4",
            )
        if offset >= positions:
            raise Refused(
                f"{offset} is no offset of {positions} positions",
                where=where,
                remedy=f"offsets are 0 to {positions - 1}; say --offsets if these are run numbers",
            )
        found.append(offset)
    return tuple(found)


def _refuse_run_numbers(block: Block, numbers: list[int], positions: int) -> None:
    """Refuse bare numbers that count up: offsets, or merely the numbers of the runs."""
    counting = numbers in (list(range(len(numbers))), list(range(1, len(numbers) + 1)))
    if counting and numbers != list(range(positions)):
        raise Refused(
            "the headings count up: offsets, or numbers of the runs",
            where=f"row {(block.header or 0) + 1}",
            remedy="say --offsets, or head the columns like “offset 0”",
        )


def _grouped(
    block: Block, labels: tuple[RunLabel, ...], keys: tuple[_Key, ...], wanted: Wanted
) -> tuple[int, ...]:
    """Return a number for each column, the same for repeats of one run."""
    distinct = list(dict.fromkeys(keys))
    if len(distinct) == len(keys) and wanted.repeated != "columns":
        return tuple(range(len(keys)))
    numbered = all(label.run is not None for label in labels)
    as_often_as_said = (wanted.repeats or 1) > 1 and all(
        keys.count(key) == wanted.repeats for key in distinct
    )
    if wanted.repeated is None and as_often_as_said and wanted.direction != "forward and return":
        return tuple(distinct.index(key) for key in keys)
    if numbered or all(label.repeat is not None for label in labels):
        return tuple(distinct.index(key) for key in keys)
    if wanted.repeated == "columns":
        run = _side_by_side(block, wanted)
        for column, number, key in zip(block.columns, run, keys, strict=True):
            if key != keys[run.index(number)]:
                raise Refused(
                    "the heading differs from that of the repeats beside it",
                    where=cell_name(block.header or 0, column),
                    remedy="check --repeats and the headings",
                )
        return run
    if wanted.repeats == 1 or wanted.repeated == "rows" or wanted.direction == "forward and return":
        return tuple(range(len(keys)))
    again = next(place for place, key in enumerate(keys) if key in keys[:place])
    raise Refused(
        f"offset {keys[again][1]} stands twice: repeats of one run, two runs, or forward and return",
        where=cell_name(block.header or 0, block.columns[again]),
        remedy="say --repeats N columns, --repeats 1, or --direction forward-and-return",
    )


def _in_order(block: Block, keys: tuple[_Key, ...], run: tuple[int, ...], wanted: Wanted) -> Runs:
    """Give the runs their numbers, as labelled or as they stand, and pair those forward and return."""
    first = {number: keys[run.index(number)] for number in run}
    if all(key[0] is not None for key in first.values()):
        order = sorted(first, key=lambda number: first[number][0] or 0)
        if len({first[number][0] for number in order}) < len(order):
            raise Refused(
                "one run has two offsets or directions",
                where=f"row {(block.header or 0) + 1}",
                remedy="check the headings",
            )
    else:
        order = sorted(first)
    ordered = [first[number] for number in order]
    renumbered = tuple(order.index(number) for number in run)
    offsets = tuple(key[1] or 0 for key in ordered)
    ways = {key[2] for key in ordered}
    if wanted.direction is None and ways <= {None, "forward"}:
        return Runs(offsets, "forward", renumbered)
    if wanted.direction == "forward":
        if "return" in ways:
            raise Refused(
                "a heading says return, and --direction says forward",
                where=f"row {(block.header or 0) + 1}",
                remedy="drop --direction",
            )
        return Runs(offsets, "forward", renumbered)
    paired = offsets[::2] == offsets[1::2] and all(
        key[2] in (None, way) for key, way in zip(ordered, ("forward", "return") * len(ordered), strict=False)
    )
    if not paired:
        raise Refused(
            "the runs are not forward and return in turn, two at each offset",
            where=f"row {(block.header or 0) + 1}",
            remedy="head the columns like “offset 0 forward” and “offset 0 return”, in this order",
        )
    return Runs(offsets[::2], "forward and return", renumbered)
