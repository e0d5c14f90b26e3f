"""What the readings do not determine yet, and what would, in words."""

from __future__ import annotations

from math import gcd

import numpy as np

from sessions.header import Design
from solver.adjust import Adjustment
from solver.cells import Cells


def missing_words(design: Design, cells: Cells, adjustment: Adjustment) -> tuple[str, ...]:
    """Say what is missing before every error is determined; nothing when all are.

    Parameters
    ----------
    design : Design
        The plan.
    cells : Cells
        Filled cells.
    adjustment : Adjustment
        Their adjustment.

    Returns
    -------
    tuple of str
        Sentences, the one to act on first; empty when everything is determined.
    """
    if adjustment.determined:
        return ()
    if not len(cells):
        return ("No readings yet.",)
    never = plan_words(design)
    if never:
        return never
    if design.closure == "single":
        return (_unread_intervals(design, cells),)
    offsets = {design.runs[int(run)].offset for run in np.unique(cells.run)}
    words = []
    if len(offsets) < 2:
        words.append("The errors need a second offset: one alone determines no error of either circle.")
    elif adjustment.missing == 1:
        words.append("One more reading that ties in what is still loose will determine the rest.")
    else:
        words.append(f"At least {adjustment.missing} more readings are needed to determine the rest.")
    return tuple(words)


def plan_words(design: Design) -> tuple[str, ...]:
    """Say why a plan cannot determine the circles even when every cell is filled; nothing when it can.

    Two offsets determine both circles just when their difference shares no factor with the number of positions;
    for more, the greatest common divisor of all differences and the number of positions must be 1.
    """
    words = []
    if design.closure == "dual":
        words.extend(_offset_words(design))
        if design.drift == "linear" and design.reading == "position" and not design.closing:
            words.append(
                "Without closing readings a drift cannot be told from errors that grow round the circle: "
                "take closing readings, or set the drift model to none."
            )
    return tuple(words)


def _offset_words(design: Design) -> list[str]:
    n = design.positions
    offsets = sorted(set(design.offsets))
    if len(offsets) < 2:
        return [f"Offset {offsets[0]} alone determines nothing: the plan needs a second offset."]
    common = gcd(n, *(offset - offsets[0] for offset in offsets))
    if common == 1:
        return []
    if common == n:
        return [f"Offsets {_listed(offsets)} are the same modulo {n}: the plan needs a second offset."]
    if offsets[0] == 0:
        return [f"Offsets {_listed(offsets)} share a factor with {n}; add one that does not."]
    return [
        f"The differences of offsets {_listed(offsets)} share the factor {common} with {n}; "
        f"add an offset that differs by no multiple of {common}."
    ]


def _unread_intervals(design: Design, cells: Cells) -> str:
    unread = sorted(set(range(1, design.positions + 1)) - set(cells.step.tolist()))
    if len(unread) > 6:
        return f"{len(unread)} intervals have no reading yet; the circle closes when each has one."
    word = "Interval" if len(unread) == 1 else "Intervals"
    verb = "has" if len(unread) == 1 else "have"
    return f"{word} {_listed(unread)} {verb} no reading yet; the circle closes when each has one."


def _listed(numbers: list[int]) -> str:
    if len(numbers) == 1:
        return str(numbers[0])
    if len(numbers) > 8:
        return f"{', '.join(map(str, numbers[:6]))}, … and {numbers[-1]}"
    return f"{', '.join(map(str, numbers[:-1]))} and {numbers[-1]}"
