"""What the readings do not determine yet, and what would, in words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import gcd

import numpy as np

from sessions.circle_words import angle_words
from sessions.design import Design
from solver.adjust import Adjustment
from solver.arc_plan import ArcOutlook, arc_outlook, common_factor
from solver.cells import Cells
from solver.closure import Ints


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
    never = _never_words(design)
    if never:
        return never
    if design.closure == "single":
        return (_unread_intervals(design, cells),)
    begun = np.unique(cells.run)
    offsets = {design.runs[int(run)].offset for run in begun[begun < design.whole_runs]}
    words = []
    if design.arcs and len(cells) == design.planned_cells:
        return _open_words(design, {name: _loose(adjustment, name) for name in ("lower", "upper")})
    if len(offsets) < 2 <= len(set(design.offsets)) and begun[-1] < design.whole_runs:
        words.append("The errors need a second offset: one alone determines no error of either circle.")
    elif adjustment.missing == 1:
        words.append("One more reading that ties in what is still loose will determine the rest.")
    elif design.arcs and adjustment.lower.position.determined:
        words.append(
            f"The {design.positions} positions are determined; inside the arcs at least {adjustment.missing} more "
            "readings are needed."
        )
    else:
        words.append(f"At least {adjustment.missing} more readings are needed to determine the rest.")
    return tuple(words)


def plan_words(design: Design) -> tuple[str, ...]:
    """Say why a plan cannot determine the circles even when every cell is filled; nothing when it can.

    Two offsets determine both circles just when their difference shares no factor with the number of positions;
    for more, the greatest common divisor of all differences and the number of positions must be 1. Runs over arcs may
    determine what those round the circle do not, and leave open what these do not touch
    (`solver.arc_plan.common_factor`), so that a plan with arcs is solved.
    """
    return loose_words(design, _outlook(design)) if design.arcs else _coarse_words(design)


def loose_words(design: Design, outlook: ArcOutlook) -> tuple[str, ...]:
    """Say the same as `plan_words` of a plan with arcs, by the outlook that it is known to have."""
    if outlook.determined:
        return ()
    return (
        (() if outlook.positions_determined else _coarse_words(design))
        or _factor_words(design)
        or _open_words(design, {"lower": outlook.lower.loose, "upper": outlook.upper.loose})
    )


def _outlook(design: Design) -> ArcOutlook:
    closure = design.model()
    return arc_outlook(closure, design.courses(closure), closing=design.closing)


def _never_words(design: Design) -> tuple[str, ...]:
    """Say why no reading of the plan determines the circles, as far as offsets tell."""
    coarse = _coarse_words(design)
    if coarse and design.arcs and _outlook(design).positions_determined:
        coarse = ()
    return coarse or _factor_words(design)


def _coarse_words(design: Design) -> tuple[str, ...]:
    """Say why the runs round the circle cannot determine it."""
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
    if offsets[0] == 0:
        return [f"Offsets {_listed(offsets)} share a factor with {n}; add one that does not."]
    return [
        f"The differences of offsets {_listed(offsets)} share the factor {common} with {n}; "
        f"add an offset that differs by no multiple of {common}."
    ]


def _factor_words(design: Design) -> tuple[str, ...]:
    """Say which factor the arc offsets share with the fine steps of an interval."""
    if not design.arcs:
        return ()
    offsets = sorted({arc.offset for arc in design.arcs})
    m = design.subdivision
    factor = common_factor(m, tuple(offsets))
    if factor == 1:
        return ()
    listed = _listed(offsets)
    if len(offsets) == 1:
        return (
            f"Arc offset {listed} alone leaves the errors inside the arcs open; add one that differs from it by no "
            f"multiple of {m}.",
        )
    if factor == m:
        return (
            f"Arc offsets {listed} differ by multiples of {m} only and leave the errors inside the arcs open; "
            "add one that does not.",
        )
    if offsets[0] % factor == 0:
        return (
            f"Arc offsets that are all multiples of {factor} leave errors inside the arcs open; add one that is not.",
        )
    return (
        f"Arc offsets that all differ by multiples of {factor} leave errors inside the arcs open; "
        "add one that does not.",
    )


def _loose(adjustment: Adjustment, circle: str) -> Ints:
    measured = adjustment.measured(circle)
    return measured.at[np.isnan(measured.from_first.value)]


def _open_words(design: Design, loose: Mapping[str, Ints]) -> tuple[str, ...]:
    """Say at which positions errors stay open although every cell is filled, and what would help."""
    words = []
    for circle, at in loose.items():
        if at.size:
            where = _listed([angle_words(int(place), design.fine) for place in at])
            words.append(f"The {circle} circle stays open at {where}.")
    what = "Further arc offsets, next to those there are, or arcs beside these tie them in."
    return (*words, what) if words else ("The arcs are not joined to the circle. " + what,)


def _unread_intervals(design: Design, cells: Cells) -> str:
    unread = sorted(set(range(1, design.positions + 1)) - set(cells.step.tolist()))
    if len(unread) > 6:
        return f"{len(unread)} intervals have no reading yet; the circle closes when each has one."
    word = "Interval" if len(unread) == 1 else "Intervals"
    verb = "has" if len(unread) == 1 else "have"
    return f"{word} {_listed(unread)} {verb} no reading yet; the circle closes when each has one."


def _listed(numbers: Sequence[int | str]) -> str:
    if len(numbers) == 1:
        return str(numbers[0])
    if len(numbers) > 8:
        return f"{', '.join(map(str, numbers[:6]))}, … and {numbers[-1]}"
    return f"{', '.join(map(str, numbers[:-1]))} and {numbers[-1]}"
