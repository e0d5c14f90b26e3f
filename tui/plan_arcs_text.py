"""What finer steps over arcs cost and give, as text."""

from __future__ import annotations

from fractions import Fraction
from math import isfinite, sqrt

from sessions.counted import freedom_words
from sessions.plan_arcs import PlannedArcs
from sessions.step_angle import angle
from solver.arc_plan import Inside
from tui.plan_columns import MISSING, digits_for, hours_words, number_words
from tui.widgets.formats import wrapped

_WIDTH = 80


def arcs_blocks(planned: PlannedArcs, deviation: float) -> list[list[str]]:
    """Return the heading, the costs, and what is reached, as blocks of lines."""
    return [_heading(planned), _costs(planned), _gains(planned, deviation)]


def _heading(planned: PlannedArcs) -> list[str]:
    design = planned.found.design
    step = angle(Fraction(360, design.fine))
    if len(planned.intervals) == design.positions:
        which = f"all {design.positions} arcs"
    else:
        numbers = " ".join(str(at) for at in planned.intervals)
        which = f"arc{'s' if len(planned.intervals) > 1 else ''} {numbers}"
    words = (
        f"Finer steps: {which} in {design.subdivision} steps of {step}, arc offsets {_numbers(planned.offsets)}, "
        f"after the runs round the circle at offsets {_numbers(design.offsets)}."
    )
    return wrapped(words, _WIDTH)


def _numbers(numbers: tuple[int, ...]) -> str:
    if len(numbers) > 24:
        return f"{' '.join(map(str, numbers[:20]))} ... {numbers[-1]}"
    return " ".join(map(str, numbers))


def _costs(planned: PlannedArcs) -> list[str]:
    found = planned.found
    design = found.design
    total = found.hours_together
    rows = [
        ("round the circle", design.whole_runs, found.total_readings - found.readings, total - found.hours),
        ("over the arcs", len(design.arcs) * design.ways, found.readings, found.hours),
        ("together", design.run_count, found.total_readings, total),
        (
            f"complete closure of {design.fine} positions",
            design.fine * design.ways,
            found.complete_readings,
            planned.complete_hours,
        ),
    ]
    lines = [f"{'':38}{'runs':>8}{'readings':>14}{'hours':>10}"]
    lines.extend(
        f"  {name:<36}{runs:>8}{readings:>14,}{hours_words(hours):>10}"
        for name, runs, readings, hours in rows
    )
    return lines


def _gains(planned: PlannedArcs, deviation: float) -> list[str]:
    outlook = planned.found.outlook
    lines = [f"{'inside the arcs':<20}{'from position 0, worst':>28}{'about the mean, u':>22}"]
    for name, inside in (("lower", outlook.lower), ("upper", outlook.upper)):
        lines.append(f"  {name:<18}{_worst(inside, deviation):>28}{_u(inside.about_mean, deviation):>22}")
    if planned.loose:
        for words in planned.loose:
            lines.extend(wrapped(f"! {words}", _WIDTH, later="  "))
    else:
        lines.extend(
            wrapped(
                f"Everything is determined, with {freedom_words(outlook.degrees_of_freedom)}; variance is in "
                "units of that of a cell.",
                _WIDTH,
            )
        )
    return lines


def _worst(inside: Inside, deviation: float) -> str:
    variance = inside.from_first_worst
    if not isfinite(variance):
        return MISSING
    return f"u {_u(variance, deviation)}, variance {variance:.3g}"


def _u(variance: float, deviation: float) -> str:
    if not isfinite(variance):
        return MISSING
    value = deviation * sqrt(variance)
    return f"{number_words(value, digits_for(value))}″"
