"""The uncertainty budget of a session: lines recorded as entries, and what they make of each result."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import inf
from typing import Any

import numpy as np

from sessions.analysis import Analysis
from sessions.entries import Entry, Setup, newest_records
from sessions.fields import Fields
from sessions.json_values import numbers
from sessions.session import Session
from solver.between import between
from solver.budget import DIVISORS, Distribution, Kind, Line, Uncertainty, combine
from solver.circle import Values
from solver.closure import Floats, Ints
from solver.coverage import USUAL_PROBABILITY
from solver.effects import Effect, EffectKind, Results, Touched
from solver.fixed_angle import fixed_angle
from solver.refused import Refused

WORKSHEET = "budget"

KINDS: tuple[Kind, ...] = ("A", "B")
DISTRIBUTIONS: tuple[Distribution, ...] = tuple(DIVISORS)
EFFECTS: tuple[EffectKind, ...] = (
    "cell",
    "position",
    "constant",
    "proportional",
    "harmonic",
    "ramp",
    "shape",
)
TOUCHED: tuple[Touched, ...] = ("both", "lower", "upper")

_LINE = (
    "name",
    "kind",
    "distribution",
    "half_width",
    "standard_uncertainty",
    "degrees_of_freedom",
    "relative_uncertainty",
    "sensitivity",
    "effect",
    "circle",
    "order",
    "phase",
    "shape",
    "counted",
    "source",
)
_MOST_LINES = 200
#: Positions up to which every pair is looked at, for what is known least of any two.
MOST_PAIRS = 720


@dataclass(frozen=True, slots=True)
class Budget:
    """A budget in force: coverage probability, and the lines beside the scatter of the readings."""

    probability: float = USUAL_PROBABILITY
    lines: tuple[Line, ...] = ()


@dataclass(frozen=True, slots=True)
class CircleUncertainty:
    """Uncertainties of the results of one circle, each of n results."""

    position: Uncertainty
    from_first: Uncertainty
    interval: Uncertainty


@dataclass(frozen=True, slots=True)
class FineUncertainty:
    """Uncertainties at the P positions of one circle that some run stops at, each of P results."""

    position: Uncertainty
    from_first: Uncertainty


@dataclass(frozen=True, slots=True)
class Expanded:
    """Uncertainties of a session with all lines of its budget.

    Parameters
    ----------
    budget : Budget
        What was counted; without a recorded budget no line, so that type A stands alone.
    lower, upper : CircleUncertainty
        `upper` is None for a single closure.
    reference : Uncertainty or None
        Of the fixed angle of a single closure, one result; None for a dual one.
    """

    budget: Budget
    lower: CircleUncertainty
    upper: CircleUncertainty | None
    reference: Uncertainty | None = None

    @property
    def circles(self) -> tuple[tuple[str, CircleUncertainty], ...]:
        """The circles by name, lower first."""
        both = (("lower", self.lower), ("upper", self.upper))
        return tuple((name, found) for name, found in both if found is not None)

    def fields(self, circle: str) -> dict[str, list[float | None]]:
        """Return the fields that stand beside the results of a circle in `solve --json`.

        A value not determined is None; degrees of freedom without limit are None as well, beside their factor.
        """
        found = dict(self.circles)[circle]
        return {
            **_fields("", found.position),
            **_fields("from_first_", found.from_first),
            **_fields("interval_", found.interval),
        }


def budget_of(entries: Iterable[Entry], positions: int) -> Budget | None:
    """Return the newest budget among entries, None where there is none.

    Parameters
    ----------
    entries : iterable of Entry
        Of a session.
    positions : int
        Of its circles.

    Raises
    ------
    Refused
        Where what is recorded is no budget of such circles.
    """
    newest = newest_records(entries).get(WORKSHEET)
    return None if newest is None else read_budget(newest.result, positions, f"entry {newest.number}")


def record(session: Session, budget: Budget) -> Setup:
    """Record a budget; the newest one counts.

    Raises
    ------
    Refused
        Where it does not fit the session, with the line in `where`, or nothing can be recorded.
    """
    table = budget_table(budget)
    read_budget(table, session.header.design.positions, WORKSHEET)
    return session.setup(WORKSHEET, table)


def budget_table(budget: Budget) -> dict[str, Any]:
    """Return a budget as it stands in the session file. `read_budget` undoes it."""
    return {"probability": budget.probability, "lines": [_line_table(line) for line in budget.lines]}


def read_budget(table: Mapping[str, Any], positions: int, where: str = WORKSHEET) -> Budget:
    """Read a budget and refuse whatever does not fit, with the place in `where`."""
    fields = Fields(table, where, ("probability", "lines"))
    probability = fields.real("probability") if "probability" in table else USUAL_PROBABILITY
    if not 0 < probability < 1:
        raise fields.refuse("probability", "a number between 0 and 1")
    lines = table.get("lines", [])
    if not isinstance(lines, list | tuple) or len(lines) > _MOST_LINES:
        raise fields.refuse("lines", f"a list of at most {_MOST_LINES} lines")
    read = tuple(
        read_line(line, positions, f"{where}, line {number}") for number, line in enumerate(lines, 1)
    )
    return Budget(probability, read)


def read_line(table: object, positions: int, where: str) -> Line:
    """Read one line of a budget."""
    fields = Fields(table, where, _LINE)
    half_width, standard = (_not_negative(fields, key) for key in ("half_width", "standard_uncertainty"))
    freedom, relative = fields.positive("degrees_of_freedom"), _not_negative(fields, "relative_uncertainty")
    _only_one(fields, "half_width", "standard_uncertainty")
    _only_one(fields, "degrees_of_freedom", "relative_uncertainty")
    return Line(
        name=fields.text("name", empty=False),
        kind=fields.choice("kind", KINDS, "B"),
        distribution=fields.choice("distribution", DISTRIBUTIONS, "rectangular"),
        half_width=half_width,
        standard_uncertainty=standard,
        degrees_of_freedom=freedom,
        relative_uncertainty=relative,
        sensitivity=fields.real("sensitivity") if "sensitivity" in fields.table else 1.0,
        effect=_effect(fields, positions),
        counted=fields.flag("counted", True),
        source=fields.text("source", "", lines=True),
    )


def expanded(entries: Iterable[Entry], analysis: Analysis, budget: Budget | None = None) -> Expanded:
    """Return expanded uncertainties, coverage factors and effective degrees of freedom of all results.

    Parameters
    ----------
    entries : iterable of Entry
        Of the session; the newest budget in them counts.
    analysis : Analysis
        Of the session.
    budget : Budget, optional
        To be counted instead of the recorded one.
    """
    n = analysis.header.design.positions
    counted = budget or budget_of(entries, n) or Budget()
    upper = analysis.adjustment.upper
    return Expanded(
        counted,
        expanded_circle(analysis, counted, "lower"),
        None if upper is None else expanded_circle(analysis, counted, "upper"),
        _reference(analysis, counted) if upper is None else None,
    )


def of_any_two(
    analysis: Analysis, budget: Budget, circle: str, to: Ints, start: Ints
) -> tuple[Floats, Uncertainty]:
    """Return the error at `to` from `start`, both (M,) int arrays, for any positions, and its uncertainty."""
    m = analysis.adjustment.closure.subdivision
    return of_any_two_fine(analysis, budget, circle, m * to, m * start)


def of_any_two_fine(
    analysis: Analysis, budget: Budget, circle: str, to: Ints, start: Ints
) -> tuple[Floats, Uncertainty]:
    """Return the same for fine positions; not determined where no run stops at one of the two."""
    design = analysis.header.design
    found = between(analysis.adjustment, circle, to, start)
    m = analysis.adjustment.closure.subdivision
    results = Results(circle, design.positions, to, start, found.value, found.root, m)
    return found.value, _combined(analysis, budget, results)


def of_measured(analysis: Analysis, budget: Budget, circle: str) -> FineUncertainty:
    """Return the uncertainties at all positions of a circle that some run stops at."""
    n, m = analysis.header.design.positions, analysis.adjustment.closure.subdivision
    measured = analysis.adjustment.measured(circle)

    def of(start: Ints | None, values: Values) -> Uncertainty:
        results = Results(circle, n, measured.at, start, values.value, values.root, m)
        return _combined(analysis, budget, results)

    return FineUncertainty(of(None, measured.position), of(np.zeros_like(measured.at), measured.from_first))


def least_known(u: Uncertainty) -> int | None:
    """Return which result is known least; None where none has an uncertainty but those certain by definition."""
    return int(np.nanargmax(u.expanded)) if (u.expanded > 0).any() else None


def scatter_line(analysis: Analysis) -> Line:
    """Return the scatter of the readings as a line of the budget: every budget has it, and none records it."""
    known = analysis.deviation
    return Line(
        "accepted standard deviation" if analysis.deviation_accepted else "scatter of the readings",
        kind="A",
        distribution="normal",
        standard_uncertainty=known if np.isfinite(known) else None,
        degrees_of_freedom=freedom_of_scatter(analysis),
        effect=Effect("cell"),
    )


def freedom_of_scatter(analysis: Analysis) -> float:
    """Return the degrees of freedom of the standard deviation behind the uncertainties; inf where it is known."""
    if not analysis.deviation_accepted:
        return float(analysis.adjustment.degrees_of_freedom)
    accepted = analysis.header.instrument.accepted_sd_dof
    return inf if accepted is None else accepted


def expanded_circle(analysis: Analysis, budget: Budget, name: str) -> CircleUncertainty:
    """Return the uncertainties of the results of one circle, "lower" or "upper", that there is."""
    adjustment = analysis.adjustment
    circle = adjustment.lower if name == "lower" or adjustment.upper is None else adjustment.upper
    n = analysis.header.design.positions
    here = np.arange(n, dtype=np.int64)
    first = np.zeros(n, dtype=np.int64)

    def of(to: Ints, start: Ints | None, values: Values) -> Uncertainty:
        return _combined(analysis, budget, Results(name, n, to, start, values.value, values.root))

    return CircleUncertainty(
        of(here, None, circle.position),
        of(here, first, circle.from_first),
        of(np.roll(here, -1), here, circle.interval),
    )


def _reference(analysis: Analysis, budget: Budget) -> Uncertainty:
    x = analysis.adjustment.reference
    n = analysis.header.design.positions
    freedom = freedom_of_scatter(analysis)
    return fixed_angle(x.value, x.root, n, analysis.deviation, freedom, budget.lines, budget.probability)


def _combined(analysis: Analysis, budget: Budget, results: Results) -> Uncertainty:
    return combine(
        results, analysis.deviation, freedom_of_scatter(analysis), budget.lines, budget.probability
    )


def _fields(prefix: str, found: Uncertainty) -> dict[str, list[float | None]]:
    return {
        f"{prefix}combined_standard_uncertainty": numbers(found.standard),
        f"{prefix}expanded_uncertainty": numbers(found.expanded),
        f"{prefix}coverage_factor": numbers(found.factor),
        f"{prefix}effective_degrees_of_freedom": numbers(found.freedom),
    }


def _line_table(line: Line) -> dict[str, Any]:
    effect = line.effect
    table: dict[str, Any] = {
        "name": line.name,
        "kind": line.kind,
        "distribution": line.distribution,
        "half_width": line.half_width,
        "standard_uncertainty": line.standard_uncertainty,
        "degrees_of_freedom": line.degrees_of_freedom,
        "relative_uncertainty": line.relative_uncertainty,
        "sensitivity": line.sensitivity,
        "effect": effect.kind,
        "circle": effect.circle,
        "order": effect.order if effect.kind == "harmonic" else None,
        "phase": effect.phase if effect.kind == "harmonic" else None,
        "shape": list(effect.shape) if effect.kind == "shape" else None,
        "counted": line.counted,
        "source": line.source,
    }
    return {key: value for key, value in table.items() if value is not None}


def _effect(fields: Fields, positions: int) -> Effect:
    kind = fields.choice("effect", EFFECTS, "position")
    shape: tuple[float, ...] = ()
    if kind == "shape":
        values = fields.required("shape")
        if not isinstance(values, list | tuple) or len(values) != positions:
            raise fields.refuse("shape", f"a list of {positions} numbers")
        where = fields.place("shape")
        shape = tuple(Fields({where: value}, "", (where,)).real(where) for value in values)
    return Effect(
        kind,
        fields.choice("circle", TOUCHED, "both"),
        fields.whole("order", 1, positions, 1),
        fields.optional("phase"),
        shape,
    )


def _not_negative(fields: Fields, key: str) -> float | None:
    value = fields.optional(key)
    if value is not None and value < 0:
        raise fields.refuse(key, "a number of 0 or above")
    return value


def _only_one(fields: Fields, one: str, other: str) -> None:
    if one in fields.table and other in fields.table:
        raise Refused(f'"{one}" stands beside "{other}"', where=fields.where, remedy="take one of them out")
