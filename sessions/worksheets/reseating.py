"""Seating repeatability: lifts and reseats at one position."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, sqrt

import numpy as np

from sessions.choice import SHARE, weigh
from sessions.counted import freedom_words
from sessions.header import Header
from sessions.worksheets.share import slip, smaller_tolerance, unit_key, unit_sign
from sessions.worksheets.sheet import (
    LOOK_AT,
    Answers,
    Column,
    Field,
    Item,
    Outcome,
    Proposal,
    Verdict,
    Worksheet,
    judge,
)
from sessions.worksheets.words import exact, known, number, plain, round_down
from solver.coverage import USUAL_PROBABILITY
from solver.quantile import student
from solver.refused import Refused
from solver.seating import Seating, seating
from solver.variance import determines
from solver.warm_up import drift

#: Arc seconds where no tolerance is agreed: what the better precision indexes hold. Common practice, no source.
_OTHERWISE = 0.1


@dataclass(frozen=True, slots=True)
class _Plan:
    """What the plan makes of a standard deviation of 1: expanded uncertainty of a position error."""

    expanded: float | None


def _plan(header: Header) -> _Plan:
    design = header.design
    if not determines(design.model(), design.offsets):
        return _Plan(None)
    try:
        return _Plan(weigh(design, deviation=1.0).expanded_uncertainty)
    except Refused:
        # A drift model by "position" has no closed formula to plan with.
        return _Plan(None)


def _limit(header: Header) -> tuple[float, str]:
    """Return the largest standard deviation that will do, arc seconds, and why."""
    tolerance, expanded = smaller_tolerance(header), _plan(header).expanded
    if tolerance is not None and expanded is not None:
        return SHARE * tolerance / expanded, "proposed: the plan can then decide the tolerance"
    return _OTHERWISE, "proposed: what better indexes hold"


def _items(header: Header, answers: Answers) -> tuple[Item, ...]:
    limit, why = _limit(header)
    unit, factor = unit_sign(header), header.instrument.arcsec_per_unit
    return (
        Field(
            "lifts",
            "How many lifts",
            hint="3 to 100; 10 tell the standard deviation to a quarter",
            default=10,
            least=3,
            most=100,
            whole=True,
        ),
        Field(
            f"limit_{unit_key(header)}",
            "Limit of the deviation",
            unit,
            why,
            default=round_down(limit / factor),
            above=0,
            remembered=False,
        ),
        Column(
            "lifts_read",
            f"reading_{unit_key(header)}",
            "lift",
            tuple(float(lift) for lift in range(1, int(answers.get("lifts", 10)) + 1)),
            lambda lift: f"Reading after lift {int(lift)}",
            unit,
            "lift clear of the teeth, reseat, let it settle",
            range=inf if header.instrument.range is None else header.instrument.range,
        ),
    )


def _lines(header: Header, found: Seating, read: np.ndarray) -> tuple[tuple[str, str], ...]:
    unit, factor = unit_sign(header), header.instrument.arcsec_per_unit
    low, high = found.interval(USUAL_PROBABILITY)
    lines = [
        (
            "Standard deviation",
            f"{number(found.standard_deviation, unit)}, {freedom_words(found.degrees_of_freedom)}",
        ),
        ("It lies between", f"{number(low, unit, 2)} and {number(high, unit, 2)} (95.45 %)"),
    ]
    expanded, tolerance = _plan(header).expanded, smaller_tolerance(header)
    if expanded is not None:
        gives = number(expanded * found.standard_deviation * factor, "″", 2)
        against = "" if tolerance is None else f", tolerance {plain(tolerance)}″"
        lines.append(("The plan then gives", f"U {gives} of a position{against}"))
    apart = found.fit.apart(least=slip(header))
    if apart is not None:
        lines.append((LOOK_AT, f"the reading after lift {apart + 1}: it does not go with the others"))
    elif _creeps(read):
        lines.append((LOOK_AT, "the readings creep one way: not warm yet, or wearing in"))
    floor = _floor(header)
    if found.standard_deviation < floor:
        lines.append(("Resolution", f"is coarser than the scatter; it leaves {number(floor, unit, 2)}"))
    return tuple(lines)


def _creeps(read: np.ndarray) -> bool:
    """Whether a straight line fits better than chance would have it once in a hundred times."""
    line = drift(np.arange(len(read)), read)
    if line.fit.degrees_of_freedom < 2 or not line.slope_uncertainty > 0:
        return False
    return abs(line.slope) > line.slope_uncertainty * float(student(0.005, line.fit.degrees_of_freedom))


def _floor(header: Header) -> float:
    """Return what rounding to the resolution leaves, in the unit: δ/root 12 (JCGM 100, F.2.2.1)."""
    return (header.instrument.resolution or 0.0) / sqrt(12)


def _preview(header: Header, answers: Answers) -> Outcome:
    _, read = answers.column("lifts_read")
    return Outcome() if len(read) < 3 else Outcome(lines=_lines(header, seating(read), read))


def _work(header: Header, answers: Answers) -> Outcome:
    _, read = answers.column("lifts_read")
    unit, factor = unit_sign(header), header.instrument.arcsec_per_unit
    found = seating(read)
    limit = answers.fields[f"limit_{unit_key(header)}"]
    low, high = found.interval(USUAL_PROBABILITY)
    deviation = found.standard_deviation
    verdict = judge(deviation, high - deviation, limit)
    todo = {
        Verdict.PASSES: "The circle repeats well enough for the method.",
        Verdict.FAILS: "It does not repeat well enough for the method: clean the teeth, look for what is loose, and "
        "lift again. Readings of a circle that does not repeat calibrate nothing.",
        Verdict.OPEN: "Within the limit, but so few lifts do not prove it: take more, in the first line.",
    }[verdict]
    shown = exact(limit, unit)
    lines = _lines(header, found, read)
    return Outcome(
        verdict,
        f"Standard deviation {number(deviation, unit)} with {freedom_words(found.degrees_of_freedom)}, limit {shown}.",
        todo,
        (*lines[:2], ("Limit", shown), *lines[2:]),
        known(
            standard_deviation_arcsec=deviation * factor,
            degrees_of_freedom=found.degrees_of_freedom,
            standard_deviation_low_arcsec=low * factor,
            standard_deviation_high_arcsec=high * factor,
            mean_arcsec=found.mean * factor,
        ),
        () if verdict is Verdict.FAILS else _proposals(header, found),
    )


def _proposals(header: Header, found: Seating) -> tuple[Proposal, ...]:
    offered = float(f"{max(found.standard_deviation, _floor(header)):.4g}")
    if offered <= 0:
        return ()
    said = f"{number(offered, unit_sign(header))} with {freedom_words(found.degrees_of_freedom)}"
    return (
        Proposal(
            f"Take {said} as the accepted standard deviation?",
            (
                ("instrument.accepted_sd", offered),
                ("instrument.accepted_sd_dof", found.degrees_of_freedom),
            ),
            f"seating repeatability from {len(found.fit.residual)} lifts",
        ),
    )


RESEATING = Worksheet(
    name="seating repeatability",
    title="Seating repeatability",
    purpose="whether the circle repeats well enough for the method",
    steps=(
        "Stay at one position. Lift the circle clear of its teeth, reseat it, let it settle.",
        "Type the reading after each lift. Zero nothing in between.",
        "Lift as in the work: the same hands, the same clamps, the same waiting.",
    ),
    caution="Lift the stack with help where it is heavy. Fingers out of the gap when lowering, every time. Teeth "
    "engaged except when stepping. Local rules and the makers' instructions come first.",
    items=_items,
    work=_work,
    preview=_preview,
)
