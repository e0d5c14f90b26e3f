"""Begin a simulated session, and play one to its end."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

from sessions.bench_time import Pace
from sessions.clock import Clock, local_time
from sessions.design import Design
from sessions.disk import Disk
from sessions.equipment import Circle, CircleKind, Instrument
from sessions.header import Header
from sessions.practice.bench import PracticeBench
from sessions.practice.parameters import WORKSHEET, Parameters, checked, result_of
from sessions.session import Session
from solver.offsets import best_offsets, checked_offsets

#: Plan that a learner gets unless asked otherwise: short enough to type, with readings that check each other.
POSITIONS = 8
#: Name of its file, numbered where it is taken.
FILE = "practice.toml"
OFFSETS = 3
#: What the simulated instrument is called and shows.
INSTRUMENT = Instrument("autocollimator", "arcsec", 0.01, 150.0, 1)
#: Tolerance of the simulated circles, in standard deviations of their errors: as a shop would agree it, well beyond
#: what they err, and near enough for a forgotten sign to show at once.
_TOLERANCE = 5.0
#: Degrees of freedom with which its standard deviation counts as known.
_FREEDOM = 20.0


def planned(design: Design) -> Design:
    """Return a plan with offsets that determine both circles: those given, else the best few.

    Raises
    ------
    Refused
        For offsets that leave errors open.
    """
    model = design.model()
    if design.offsets:
        return replace(design, offsets=checked_offsets(model, design.offsets)) if model.dual else design
    return replace(design, offsets=best_offsets(model, min(OFFSETS, design.positions)))


def header_of(design: Design, parameters: Parameters, created: datetime) -> Header:
    """Return the header of a simulated session; whatever is invented in it says so."""
    deviation = parameters.deviation(design.repeats)
    known = round(deviation, 3) or None
    name = "simulated, seed"
    tolerance = round(_TOLERANCE * parameters.errors, 3) or None
    return Header(
        design=design,
        lower=Circle("index table", f"lower ({name} {parameters.seed})", tolerance=tolerance),
        upper=Circle(
            _upper_kind(design),
            f"upper ({name} {parameters.seed})",
            tolerance=tolerance,
        )
        if design.closure == "dual"
        else None,
        instrument=replace(INSTRUMENT, accepted_sd=known, accepted_sd_dof=_FREEDOM if known else None),
        title=f"Practice, {design.positions} positions (simulated)",
        created=created.replace(microsecond=0),
    )


def _upper_kind(design: Design) -> CircleKind:
    """Return what the upper circle is: a polygon stands between its faces nowhere, so over arcs an encoder."""
    if design.arrangement != "face by face":
        return "index table"
    return "encoder" if design.arcs else "polygon"


def begin(
    path: Path,
    design: Design,
    parameters: Parameters,
    *,
    clock: Clock = local_time,
    disk: Disk | None = None,
) -> Session:
    """Begin a simulated session in a new file.

    Raises
    ------
    Refused
        For parameters or offsets that make no sense, and where the file is there already or cannot be written; no file
        is then left, since without its parameters it would pass for a real session.
    """
    parameters = checked(parameters)
    header = header_of(planned(design), parameters, clock())
    session = Session.create(path, header, clock=clock, disk=disk)
    try:
        session.setup(WORKSHEET, result_of(parameters))
    except BaseException:
        session.close()
        path.unlink(missing_ok=True)
        raise
    return session


class BenchClock:
    """A clock for a session that is played at once: it ends about now and goes on by what the work takes."""

    def __init__(self, design: Design, now: datetime, pace: Pace | None = None) -> None:
        self._pace = pace or Pace()
        self._time = now - timedelta(hours=self._pace.hours(design))

    def __call__(self) -> datetime:
        """Return the time."""
        return self._time

    def read(self, *, again: bool) -> None:
        """Let the time pass that a reading takes."""
        self._time += timedelta(seconds=self._pace.repeat if again else self._pace.reading)

    def shift(self) -> None:
        """Let the time pass that setting an offset takes."""
        self._time += timedelta(seconds=self._pace.offset)


def play(session: Session, clock: BenchClock | None = None) -> None:
    """Take every planned reading as the simulated instrument shows it, slips and all.

    Parameters
    ----------
    session : Session
        A simulated one.
    clock : BenchClock, optional
        The session's clock, if it goes on with the work.
    """
    bench = PracticeBench(session)
    design = session.header.design
    for run in design.runs:
        if clock is not None and run.direction == "forward":
            clock.shift()
        for step in design.order_of(run.number):
            for again in range(int(session.matrix.count[run.number, step]), design.repeats):
                if clock is not None:
                    clock.read(again=again > 0)
                session.take(run.number, step, bench.shows(run.number, step).value)
