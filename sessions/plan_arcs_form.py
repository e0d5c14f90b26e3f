"""The form of finer steps in a session: what is typed, what is wrong with it, and what it would add."""

from __future__ import annotations

from dataclasses import dataclass, field

from sessions.design import MOST_SUBDIVISION
from sessions.form_values import whole
from sessions.header import Header
from sessions.missing import loose_words
from sessions.subdivision import (
    Subdivided,
    divided,
    proposed,
    read_intervals,
    read_wholes,
    refuse_finer,
    weigh_arcs,
    with_arcs,
)
from solver.refused import Refused

#: Where the refusals of a plan with arcs belong on the form.
_FIELD_OF = {"subdivision": "steps", "arcs": "arcs", "arc offsets": "offsets", "design.arcs": "arcs"}


@dataclass(frozen=True, slots=True)
class FinerForm:
    """What stands in the form, as typed.

    Parameters
    ----------
    steps : str
        Fine steps in an interval.
    arcs : str
        "all", or numbers of intervals.
    offsets : str
        Arc offsets in fine steps; empty: those proposed.
    """

    steps: str = ""
    arcs: str = "all"
    offsets: str = ""


@dataclass(frozen=True, slots=True)
class CheckedFiner:
    """A form that was looked through.

    Parameters
    ----------
    form : FinerForm
        With the offsets proposed where none were typed.
    found : Subdivided or None
        The plan that it makes; None while something is wrong.
    intervals, offsets : tuple of int
        Which arcs, at which offsets.
    more_runs, more_readings : int
        By how much the plan grows.
    loose : tuple of str
        What would stay undetermined, and what helps.
    wrong : dict of str to str
        What is wrong with a field, by its name.
    """

    form: FinerForm
    found: Subdivided | None = None
    intervals: tuple[int, ...] = ()
    offsets: tuple[int, ...] = ()
    more_runs: int = 0
    more_readings: int = 0
    loose: tuple[str, ...] = ()
    wrong: dict[str, str] = field(default_factory=dict)


def check_finer(header: Header, form: FinerForm, *, held: bool = False) -> CheckedFiner:
    """Look the form through and weigh the plan that it makes.

    Parameters
    ----------
    header : Header
        Of the session.
    form : FinerForm
        What was typed.
    held : bool, optional
        Whether readings are recorded over the arcs of the plan.
    """
    refuse_finer(header)
    old = header.design
    at = "steps"
    try:
        steps = whole(form.steps, 2, MOST_SUBDIVISION)
        at = "arcs"
        intervals = read_intervals(form.arcs, old.positions)
        divided(old, steps, intervals, (0,))
        at = "offsets"
        if form.offsets.strip():
            offsets = read_wholes(form.offsets, "arc offsets", "give numbers like 0 1 4")
        else:
            offsets = proposed(old, steps)
            form = FinerForm(form.steps, form.arcs, " ".join(str(offset) for offset in offsets))
        design = with_arcs(header, steps, intervals, offsets, held=held)
    except Refused as refused:
        words = f"{refused.what}: {refused.remedy}" if refused.remedy else refused.what
        return CheckedFiner(form, wrong={_FIELD_OF.get(refused.where, at): words})
    found = weigh_arcs(design)
    return CheckedFiner(
        form,
        found,
        intervals,
        offsets,
        design.run_count - old.run_count,
        (design.planned_cells - old.planned_cells) * design.repeats,
        loose_words(design, found.outlook),
    )
