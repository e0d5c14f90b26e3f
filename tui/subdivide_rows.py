"""What finer steps would add to a session, line by line."""

from __future__ import annotations

from fractions import Fraction
from math import isfinite, isnan, sqrt

from sessions.bench_time import Pace
from sessions.counted import counted, freedom_words
from sessions.design import Design
from sessions.plan_arcs_form import CheckedFiner
from sessions.rounding import decimals_for
from sessions.step_angle import angle
from solver.arc_plan import Inside
from tui.plan_columns import MISSING, hours_words


def first_words(design: Design) -> str:
    """Say what finer steps are."""
    apart = angle(Fraction(360, design.positions))
    words = (
        f"After the runs round the circle arcs of {apart}, one interval long, are read in fine steps, with the same "
        "two circles at several arc offsets. All is solved together."
    )
    if design.arcs:
        runs = counted(len(design.arcs) * design.ways, "run")
        words += f" The plan has {runs} over arcs in {design.subdivision} fine steps already."
    return words


def rows(checked: CheckedFiner, old: Design, deviation: float) -> list[tuple[str, str]]:
    """Return a name and words for each line.

    Parameters
    ----------
    checked : CheckedFiner
        With a plan found.
    old : Design
        The plan as it stands.
    deviation : float
        Standard deviation of a cell, arc seconds; nan: uncertainties are in units of it.
    """
    found = checked.found
    if found is None:
        return []
    design, outlook = found.design, found.outlook
    hours = found.hours_together - Pace().hours(old)
    step = angle(Fraction(360, design.fine))
    arcs = (
        "all arcs"
        if len(checked.intervals) == design.positions
        else counted(len(set(checked.intervals)), "arc")
    )
    many = len(outlook.lower.at)
    if checked.loose:
        sure = ("Not determined", " ".join(checked.loose))
    else:
        sure = ("Determined", f"everything, with {freedom_words(outlook.degrees_of_freedom)}")
    return [
        sure,
        (
            "Fine steps",
            f"{step} apart, {design.fine} to the circle, {counted(many, 'more lower position')}",
        ),
        ("Runs", f"{_more(checked.more_runs)} over {arcs}, {design.run_count} in all"),
        (
            "Readings",
            f"{_more(checked.more_readings)}, {found.total_readings:,} in all; "
            f"a complete closure takes {found.complete_readings:,}",
        ),
        ("Hours", f"about {hours_words(abs(hours))} {'more' if hours >= 0 else 'fewer'}"),
        ("Worst u, lower", _u(outlook.lower, deviation)),
        ("Worst u, upper", _u(outlook.upper, deviation)),
    ]


def reason(checked: CheckedFiner) -> str:
    """Return the reason that stands in the line at first."""
    if checked.found is None:
        return ""
    return f"steps of {angle(Fraction(360, checked.found.design.fine))}"


def _u(inside: Inside, deviation: float) -> str:
    variance = inside.from_first_worst
    if not isfinite(variance):
        return (
            f"{MISSING} not determined at {len(inside.loose)} of {len(inside.at)} positions inside the arcs"
        )
    root = sqrt(variance)
    if isnan(deviation) or deviation <= 0:
        return f"{root:.2f} standard deviations of a cell, from position 0 inside the arcs"
    value = deviation * root
    return f"{value:.{max(decimals_for(value), 0)}f}″ from position 0 inside the arcs"


def _more(number: int) -> str:
    return f"{number:,} more" if number >= 0 else f"{-number:,} fewer"
