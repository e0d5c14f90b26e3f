"""The form of the planner: from what was typed to what is to be planned, and from a choice to a new session."""

from __future__ import annotations

import re
from dataclasses import dataclass, field, fields
from fractions import Fraction
from typing import cast

from sessions.bench_time import Pace
from sessions.choice import Choice
from sessions.design import MOST_POSITIONS, MOST_REPEATS, Design, Direction
from sessions.divisions import FEWEST_DIVISIONS, MOST_DIVISIONS
from sessions.form_reader import FormReader
from sessions.new import Form
from sessions.plan import Wanted
from sessions.step_angle import positions_of
from solver.closure import Arrangement, Kind, ReadingMode
from solver.refused import Refused

_MOST_FREEDOM = 10**6
_ANGLE = re.compile(r"[0-9]{1,6}(\.[0-9]{0,9}|/0*[1-9][0-9]{0,6})?|\.[0-9]{1,9}")


@dataclass(frozen=True, slots=True)
class PlanForm:
    """What stands in the planner's form, as typed; what may be left out is empty.

    Positions are given by their number or by the angle between them, in degrees. Angles beside that are in
    arc seconds.
    """

    positions: str = "12"
    accepted_sd: str = ""
    tolerance: str = ""
    step: str = ""
    accepted_sd_dof: str = ""
    seconds: str = "75"
    lower_divisions: str = ""
    upper_divisions: str = ""
    repeats: str = "1"
    closure: str = "dual"
    arrangement: str = "counter-rotating"
    reading: str = "position"
    direction: str = "forward"
    closing: str = "yes"


#: The fields of the form in the order of the page.
FIELDS = tuple(entry.name for entry in fields(PlanForm))

_DUAL_ONLY = frozenset({"upper_divisions", "arrangement", "reading"})
_BY_POSITION_ONLY = frozenset({"direction", "closing"})
#: Where the refusals of the planner belong that its command line would put at an option.
_FIELD_OF = {
    "--positions": "positions",
    "--step": "step",
    "--divisions": "lower_divisions",
    "--accepted-sd": "accepted_sd",
    "--accepted-sd-dof": "accepted_sd_dof",
    "--tolerance": "tolerance",
    "--seconds": "seconds",
    "--repeats": "repeats",
}


@dataclass(frozen=True, slots=True)
class CheckedPlan:
    """A form that was looked through: what is wanted, or what is wrong with a field, by its name."""

    wanted: Wanted | None
    wrong: dict[str, str] = field(default_factory=dict)


def applies(form: PlanForm) -> frozenset[str]:
    """Return the fields that mean something with the choices made."""
    names = frozenset(FIELDS)
    if form.closure == "single":
        return names - _DUAL_ONLY - _BY_POSITION_ONLY
    return names if form.reading == "position" else names - _BY_POSITION_ONLY


def check_plan(form: PlanForm) -> CheckedPlan:
    """Look the form through.

    Parameters
    ----------
    form : PlanForm
        What was typed.

    Returns
    -------
    CheckedPlan
        What is to be planned, or what is wrong with each field that applies.
    """
    reader = _PlanReader(form)
    wanted = reader.wanted()
    wrong = {name: reader.wrong[name] for name in FIELDS if name in reader.wrong}
    return CheckedPlan(None if wrong else wanted, wrong)


def session_form(form: PlanForm, choice: Choice) -> Form:
    """Return the form of a new session filled in with a choice.

    The tolerance goes to the lower circle, which is only a proposal: it may be the upper one that is judged.
    """
    design = choice.design
    offsets = "" if design.closure == "single" else offset_words(design)
    return Form(
        closure=design.closure,
        reading=design.reading,
        arrangement=design.arrangement,
        positions=str(design.positions),
        offsets=offsets,
        runs=str(len(design.offsets)),
        direction=design.direction,
        closing="yes" if design.closing else "no",
        repeats=str(design.repeats),
        upper_kind="polygon" if design.arrangement == "face by face" else "index table",
        lower_divisions=form.lower_divisions.strip(),
        upper_divisions="" if design.closure == "single" else form.upper_divisions.strip(),
        lower_tolerance=form.tolerance.strip(),
        accepted_sd=form.accepted_sd.strip(),
        accepted_sd_dof=form.accepted_sd_dof.strip(),
    )


def offset_words(design: Design) -> str:
    """Return the offsets of a design as one would type them: "0, 1, 4", or "all" for each complete closure."""
    n = design.positions
    least = min(design.offsets.count(offset) for offset in range(n)) if len(design.offsets) >= n else 0
    rest = list(design.offsets)
    for offset in [*range(n)] * least:
        rest.remove(offset)
    return ", ".join(["all"] * least + [str(offset) for offset in rest])


class _PlanReader(FormReader):
    """Reads the fields of a form into what is wanted, and notes what is wrong."""

    def __init__(self, form: PlanForm) -> None:
        super().__init__(form, applies(form))
        self._typed = form

    def wanted(self) -> Wanted | None:
        form = self._typed
        dual = form.closure == "dual"
        by_position = dual and form.reading == "position"
        positions = self._positions()
        repeats = self.whole("repeats", 1, MOST_REPEATS) or 1
        deviation = self.positive("accepted_sd")
        freedom = self.whole("accepted_sd_dof", 1, _MOST_FREEDOM)
        self.freedom_of("accepted_sd", freedom)
        tolerance, seconds = self.positive("tolerance"), self.positive("seconds")
        if positions is None:
            return None
        design = Design(
            positions,
            (0,),
            closure=cast("Kind", form.closure),
            reading=cast("ReadingMode", form.reading) if dual else "interval",
            arrangement=cast("Arrangement", form.arrangement) if dual else "counter-rotating",
            direction=cast("Direction", form.direction) if by_position else "forward",
            closing=by_position and form.closing == "yes",
            repeats=repeats,
        )
        pace = Pace() if seconds is None else Pace(reading=seconds)
        return Wanted(
            design,
            accepted_sd=deviation,
            accepted_sd_dof=freedom,
            tolerance=tolerance,
            pace=pace,
        )

    def _positions(self) -> int | None:
        number = self.whole("positions", 2, MOST_POSITIONS)
        step = self.read("step", _degrees)
        lower = self.whole("lower_divisions", FEWEST_DIVISIONS, MOST_DIVISIONS)
        upper = self.whole("upper_divisions", FEWEST_DIVISIONS, MOST_DIVISIONS)
        if self.wrong:
            return None
        if number is None and step is None:
            self.wrong["positions"] = "type a number of positions, or the angle between them"
            return None
        divisions = [given for given in (lower or upper, upper or lower) if given is not None]
        try:
            polygon = "arrangement" in self.names and self._typed.arrangement == "face by face"
            return positions_of(number, step, tuple(divisions), polygon=polygon)
        except Refused as refused:
            self.wrong[_FIELD_OF[refused.where]] = f"{refused.what}: {refused.remedy}"
            return None


def _degrees(text: str) -> Fraction:
    word = text.strip().removesuffix("°").replace(",", ".")
    if not _ANGLE.fullmatch(word) or Fraction(word) == 0:
        raise Refused("an angle in degrees, like 22.5 or 360/7")
    return Fraction(word)
