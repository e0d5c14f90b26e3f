"""The header of a session: what is measured, with what, in which runs and steps; read, checked and written."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sessions.design import (
    ARRANGEMENTS,
    CLOSURES,
    DIRECTIONS,
    DRIFTS,
    MOST_POSITIONS,
    MOST_SUBDIVISION,
    READINGS,
    Arc,
    Design,
    measured_positions,
)
from sessions.equipment import CIRCLE_KINDS, UNITS, Circle, Instrument
from sessions.fields import Fields, described
from solver.closure import ReadingMode
from solver.refused import Refused

FORMAT = "fullturn session"
VERSION = 1

_TOP = ("format", "version", "title", "operator", "created", "design", "lower", "upper", "instrument")
_DESIGN = (
    "closure",
    "reading",
    "arrangement",
    "positions",
    "offsets",
    "subdivision",
    "arcs",
    "direction",
    "closing",
    "repeats",
    "drift",
)
_CIRCLE = ("kind", "name", "serial", "tolerance")
_INSTRUMENT = ("kind", "unit", "resolution", "range", "polarity", "accepted_sd", "accepted_sd_dof")

KNOWN: Mapping[str, tuple[str, ...]] = {
    "": _TOP,
    "design": _DESIGN,
    "lower": _CIRCLE,
    "upper": _CIRCLE,
    "instrument": _INSTRUMENT,
}
"""Keys of each table of the header, in the order in which they are written."""


@dataclass(frozen=True, slots=True)
class Header:
    """The whole header; `upper` may be None where a single closure is read, `created` where unknown."""

    design: Design
    lower: Circle = Circle()
    upper: Circle | None = Circle()
    instrument: Instrument = Instrument()
    title: str = ""
    operator: str = ""
    created: datetime | None = None


def read_header(table: Mapping[str, Any]) -> Header:
    """Read a header and refuse whatever does not fit.

    Parameters
    ----------
    table : mapping
        The file as `tomllib` gives it, without its entries.

    Returns
    -------
    Header
        With defaults for all that is absent; needed are format, version, design.positions and design.offsets.

    Raises
    ------
    Refused
        With the field in `where`, as "design.offsets".
    """
    refuse_other_format(table)
    top = Fields(table, "", _TOP)
    design = _design(Fields(top.required("design"), "design", _DESIGN))
    single = design.closure == "single"
    lower = _circle(Fields(table.get("lower", {}), "lower", _CIRCLE))
    upper = None
    if not single or "upper" in table:
        upper = _circle(Fields(table.get("upper", {}), "upper", _CIRCLE))
    if design.arcs and upper is not None and upper.kind == "polygon":
        raise Refused(
            "a polygon has no steps between its faces, so no arc of it can be read",
            where="design.arcs",
            remedy="take the arcs out",
        )
    return Header(
        design=design,
        lower=lower,
        upper=upper,
        instrument=_instrument(Fields(table.get("instrument", {}), "instrument", _INSTRUMENT)),
        title=top.text("title", ""),
        operator=top.text("operator", ""),
        created=top.moment("created") if "created" in table else None,
    )


def refuse_other_format(table: Mapping[str, Any]) -> None:
    """Refuse a table that is no session file, or one of a newer version, before anything else."""
    if table.get("format") != FORMAT:
        raise Refused(
            "this is not a Fullturn session file",
            where="format",
            remedy=f'a session file begins with the line format = "{FORMAT}"',
        )
    top = Fields({"version": table["version"]} if "version" in table else {}, "", ("version",))
    version = top.required("version")
    if type(version) is not int or version < 1:
        raise top.refuse("version", f"a whole number from 1 to {VERSION}")
    if version > VERSION:
        raise Refused(
            f"the file is of version {described(version)} and this Fullturn reads up to version {VERSION}",
            where="version",
            remedy="open it with a newer Fullturn",
        )


def header_table(header: Header) -> dict[str, Any]:
    """Return the header as a table for a TOML writer; what is None is left out. `read_header` undoes it."""
    table: dict[str, Any] = {
        "format": FORMAT,
        "version": VERSION,
        "title": header.title,
        "operator": header.operator,
        "created": header.created,
        "design": _design_table(header.design),
        "lower": _values(header.lower, _CIRCLE),
        "upper": None if header.upper is None else _values(header.upper, _CIRCLE),
        "instrument": _values(header.instrument, _INSTRUMENT),
    }
    return {key: value for key, value in table.items() if value is not None}


def _design_table(design: Design) -> dict[str, Any]:
    """Return the table of a design; what only arcs need is left out where there are none."""
    table = _values(design, _DESIGN) | {
        "offsets": list(design.offsets),
        "arcs": [[arc.start, arc.offset] for arc in design.arcs],
    }
    undivided = {"subdivision"} if design.subdivision == 1 else set()
    undivided |= set() if design.arcs else {"arcs"}
    return {key: value for key, value in table.items() if key not in undivided}


def _values(part: Design | Circle | Instrument, keys: tuple[str, ...]) -> dict[str, Any]:
    return {key: getattr(part, key) for key in keys if getattr(part, key) is not None}


def _design(fields: Fields) -> Design:
    positions = fields.whole("positions", 2, MOST_POSITIONS)
    offsets = fields.wholes("offsets", 0, positions - 1)
    if not offsets:
        raise Refused("there is no run", where="design.offsets", remedy="give one offset for each run")
    subdivision = fields.whole("subdivision", 1, MOST_SUBDIVISION, 1)
    if subdivision == 1 and fields.table.get("arcs"):
        raise Refused(
            "arcs are given, and no interval is divided",
            where="design.arcs",
            remedy="add subdivision, the fine steps of an interval",
        )
    closure = fields.choice("closure", CLOSURES, "dual")
    usual: ReadingMode = "interval" if closure == "single" else "position"
    reading = fields.choice("reading", READINGS, usual)
    design = Design(
        positions=positions,
        offsets=offsets,
        closure=closure,
        reading=reading,
        arrangement=fields.choice("arrangement", ARRANGEMENTS, "counter-rotating"),
        direction=fields.choice("direction", DIRECTIONS, "forward"),
        closing=fields.flag("closing", reading == "position"),
        repeats=fields.whole("repeats", 1, 1000, 1),
        drift=fields.choice("drift", DRIFTS, "none"),
        subdivision=subdivision,
        arcs=tuple(Arc(*pair) for pair in fields.pairs("arcs", 0, positions * subdivision - 1)),
    )
    _refuse_arcs(design)
    if design.direction != "forward" and reading != "position":
        raise Refused(
            'runs forward and return are read by "position" only',
            where="design.direction",
            remedy='set direction = "forward" or reading = "position"',
        )
    field = "drift" if closure == "single" and reading == "interval" else "reading"
    try:
        design.model()
    except Refused as refusal:
        raise Refused(refusal.what, where=f"design.{field}", remedy=refusal.remedy) from None
    return design


def _refuse_arcs(design: Design) -> None:
    """Refuse arcs that cannot be read, or would measure more positions than can be solved quickly."""
    if not design.arcs:
        return
    if design.closure != "dual" or design.reading != "position":
        raise Refused(
            'finer steps inside an arc are read by "position", one circle against the other',
            where="design.arcs",
            remedy='set closure = "dual" and reading = "position", or take arcs out',
        )
    measured = max(len(at) for at in measured_positions(design))
    if measured > MOST_POSITIONS:
        raise Refused(
            f"the arcs stop at {measured} positions of a circle, and at most {MOST_POSITIONS} can be solved",
            where="design.arcs",
            remedy="take fewer arcs, or a coarser subdivision",
        )


def _circle(fields: Fields) -> Circle:
    return Circle(
        kind=fields.choice("kind", CIRCLE_KINDS, "index table"),
        name=fields.text("name", ""),
        serial=fields.text("serial", ""),
        tolerance=fields.positive("tolerance"),
    )


def _instrument(fields: Fields) -> Instrument:
    polarity = fields.whole("polarity", -1, 1, 1)
    if polarity == 0:
        raise fields.refuse("polarity", "1 or -1")
    accepted, freedom = fields.positive("accepted_sd"), fields.positive("accepted_sd_dof")
    if freedom is not None and accepted is None:
        raise Refused(
            "degrees of freedom stand without the standard deviation that they belong to",
            where="instrument.accepted_sd_dof",
            remedy="add accepted_sd or take accepted_sd_dof out",
        )
    return Instrument(
        kind=fields.text("kind", "autocollimator", empty=False),
        unit=fields.choice("unit", UNITS, "arcsec"),
        resolution=fields.positive("resolution"),
        range=fields.positive("range"),
        polarity=polarity,
        accepted_sd=accepted,
        accepted_sd_dof=freedom,
    )
