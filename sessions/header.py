"""The header of a session: what is measured, with what, in which runs and steps."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from sessions.fields import Fields, described
from solver.closure import Arrangement, Closure, Drift, Kind, ReadingMode
from solver.refused import Refused
from solver.runs import Runs, arcs
from solver.slips import decimals

FORMAT = "fullturn session"
VERSION = 1

Direction = Literal["forward", "forward and return"]
RunDirection = Literal["forward", "return"]
CircleKind = Literal["index table", "polygon", "rotary table", "encoder"]
Unit = Literal["arcsec", "urad"]

#: 648000 / (1e6 pi), from the definition of the radian (SI Brochure, 9th edition, table 8; recomputed).
ARCSEC_PER_URAD = 0.206264806247
MOST_POSITIONS = 1440
MOST_SUBDIVISION = 3600

CLOSURES: tuple[Kind, ...] = ("dual", "single")
READINGS: tuple[ReadingMode, ...] = ("position", "interval")
ARRANGEMENTS: tuple[Arrangement, ...] = ("counter-rotating", "face by face")
DIRECTIONS: tuple[Direction, ...] = ("forward", "forward and return")
DRIFTS: tuple[Drift, ...] = ("none", "linear")
CIRCLE_KINDS: tuple[CircleKind, ...] = ("index table", "polygon", "rotary table", "encoder")
UNITS: tuple[Unit, ...] = ("arcsec", "urad")

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
class Arc:
    """A run over an arc one interval long, in fine steps.

    Parameters
    ----------
    start : int
        Where the lower circle stands at step 0, in fine positions.
    offset : int
        How far the upper circle is shifted against the lower one, in fine positions: where it would stand with the
        lower one at 0.
    """

    start: int
    offset: int


@dataclass(frozen=True, slots=True)
class Run:
    """One trip round the circle, or over an arc of it.

    Parameters
    ----------
    number : int
        From 0.
    offset : int
        In positions; over an arc in fine positions.
    direction : str
        Which way it is read.
    arc : Arc or None
        The arc; None for a run round the circle.
    """

    number: int
    offset: int
    direction: RunDirection
    arc: Arc | None = None


@dataclass(frozen=True, slots=True)
class Design:
    """What is read, in the words of the session file.

    Parameters
    ----------
    positions : int
        n, from 2 to 1440.
    offsets : tuple of int
        Offset of each run (of each pair of runs, forward and return), 0 … n-1; one may stand twice.
    closure, reading, arrangement, drift
        The model, see `solver.closure.Closure`.
    direction : str
        "forward", or "forward and return": then the runs are 0 forward, 0 return, 1 forward, …
    subdivision : int
        m, fine steps that the arcs divide an interval into; fine positions are numbered 0 … n m - 1.
    arcs : tuple of Arc
        One run each (or one pair of runs), after those round the circle: steps 0 … m, closing reading at m + 1.
    closing : bool
        Whether a closing reading is planned at step n; means nothing but by "position".
    repeats : int
        Readings planned in each cell, at least 1.
    """

    positions: int
    offsets: tuple[int, ...]
    closure: Kind = "dual"
    reading: ReadingMode = "position"
    arrangement: Arrangement = "counter-rotating"
    direction: Direction = "forward"
    closing: bool = True
    repeats: int = 1
    drift: Drift = "none"
    subdivision: int = 1
    arcs: tuple[Arc, ...] = ()

    @property
    def runs(self) -> tuple[Run, ...]:
        """The runs in the order in which they are numbered and taken."""
        ways: tuple[RunDirection, ...] = (
            ("forward",) if self.direction == "forward" else ("forward", "return")
        )
        trips = [(offset, None) for offset in self.offsets] + [(arc.offset, arc) for arc in self.arcs]
        each = [(offset, way, arc) for offset, arc in trips for way in ways]
        return tuple(Run(number, *run) for number, run in enumerate(each))

    @property
    def ways(self) -> int:
        """Runs made of each offset and each arc: 2 for forward and return."""
        return 1 if self.direction == "forward" else 2

    @property
    def whole_runs(self) -> int:
        """Number of runs round the circle; they come first."""
        return len(self.offsets) * self.ways

    @property
    def run_count(self) -> int:
        """Number of runs."""
        return (len(self.offsets) + len(self.arcs)) * self.ways

    @property
    def fine(self) -> int:
        """Fine positions of a circle, n m; n where no interval is divided."""
        return self.positions * self.subdivision

    @property
    def first_step(self) -> int:
        """The lowest step of a run: 0 by "position", 1 by "interval"."""
        return 0 if self.reading == "position" else 1

    @property
    def last_step(self) -> int:
        """The highest step of a run: n with a closing reading or by "interval", else n - 1."""
        return self.positions - 1 if self.reading == "position" and not self.closing else self.positions

    @property
    def steps(self) -> range:
        """The steps of a run round the circle, rising; a return run is read from the last to the first."""
        return range(self.first_step, self.last_step + 1)

    @property
    def arc_steps(self) -> range:
        """The steps of a run over an arc, the closing reading one beyond its end."""
        return range(self.subdivision + 2 if self.closing else self.subdivision + 1)

    def steps_of(self, run: int) -> range:
        """Return the steps of a run, rising."""
        return self.steps if run < self.whole_runs else self.arc_steps

    def closing_step(self, run: int) -> int:
        """Return the step at which a run is back at its first setting, planned or not."""
        return self.positions if run < self.whole_runs else self.subdivision + 1

    @property
    def width(self) -> int:
        """One more than the highest step of any run."""
        return max(self.last_step + 1, len(self.arc_steps) if self.arcs else 0)

    @property
    def planned_cells(self) -> int:
        """Number of cells of the whole design."""
        return self.whole_runs * len(self.steps) + len(self.arcs) * self.ways * len(self.arc_steps)

    def model(self, polarity: int = 1) -> Closure:
        """Return the solver's model of this design."""
        return Closure(
            self.positions,
            self.closure,
            self.reading,
            self.arrangement,
            self.drift,
            polarity,
            self.subdivision if self.arcs else 1,
        )

    def courses(self, closure: Closure) -> Runs:
        """Return how the runs go, for the solver, with the model of this design."""
        offset = np.repeat(np.array(self.offsets, dtype=np.int64), self.ways)
        whole = Runs.of(closure, offset)
        if not self.arcs:
            return whole
        start, shift = np.repeat([(arc.start, arc.offset) for arc in self.arcs], self.ways, axis=0).T
        return whole.join(arcs(closure, start, shift))


@dataclass(frozen=True, slots=True)
class Circle:
    """A divided circle; `tolerance` is plus or minus arc seconds, None where none is agreed."""

    kind: CircleKind = "index table"
    name: str = ""
    serial: str = ""
    tolerance: float | None = None


@dataclass(frozen=True, slots=True)
class Instrument:
    """What reads the angle.

    Parameters
    ----------
    kind : str
        What it is, in words.
    unit : str
        What is typed: "arcsec" or "urad".
    resolution, range : float or None
        In the unit; the range is the largest size of a reading.
    polarity : int
        +1 if the reading rises when the mirror turns the way the lower circle is stepped, else -1.
    accepted_sd, accepted_sd_dof : float or None
        Accepted standard deviation of one cell, in the unit, and its degrees of freedom (None: known).
    """

    kind: str = "autocollimator"
    unit: Unit = "arcsec"
    resolution: float | None = None
    range: float | None = None
    polarity: int = 1
    accepted_sd: float | None = None
    accepted_sd_dof: float | None = None

    @property
    def decimals(self) -> int | None:
        """Digits after the point of a reading by the resolution; None where that is not known."""
        return None if self.resolution is None else decimals(self.resolution)

    @property
    def arcsec_per_unit(self) -> float:
        """Arc seconds in one unit of what is typed."""
        return 1.0 if self.unit == "arcsec" else ARCSEC_PER_URAD


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


def measured_positions(design: Design) -> tuple[NDArray[np.int64], ...]:
    """Return the fine positions at which some run stops, rising, of each circle, lower first."""
    closure = design.model()
    runs = design.courses(closure)
    offset, at = runs.setting(*runs.planned())
    lower = np.unique(closure.lower(at))
    return (lower, np.unique(closure.upper(offset, at))) if closure.dual else (lower,)


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
