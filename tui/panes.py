"""What the panes show, drawn up from the session and its analysis."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from sessions.analysis import Analysis
from sessions.circle_words import by_faces, circle_names
from sessions.equipment import Instrument
from sessions.flow import Flow
from sessions.header import Header
from sessions.pace import duration_words
from sessions.screening_words import cautions
from sessions.single_words import growth
from solver.adjust import CIRCLES
from solver.closure import Flags, Floats, Ints
from tui.views import part_of, reading_decimals
from tui.widgets.formats import signed, with_uncertainty
from tui.widgets.marks import UNICODE, Characters
from tui.widgets.plot import PlotView
from tui.widgets.table import ResultsView


def results_view(flow: Flow, analysis: Analysis | None) -> ResultsView:
    """Draw up the results pane; everything is not determined while there is no analysis."""
    header = flow.session.header
    n = header.design.positions
    done, planned = progress(flow)
    seconds = flow.seconds_left()
    left = f"{duration_words(seconds)} left" if seconds is not None and flow.remaining() else ""
    unknown = np.full(n, np.nan)
    single = header.design.closure == "single"
    names = circle_names(header)
    if analysis is None:
        upper = None if single else unknown
        return ResultsView(
            unknown, unknown, upper, upper, done=done, planned=planned, time_left=left, names=names
        )
    adjustment = analysis.adjustment
    within, within_freedom = analysis.cells.repeatability
    upper_errors = analysis.upper.position if analysis.upper is not None else None
    # Of a single closure the errors from the start are shown, for their uncertainty grows away from it.
    lower = analysis.lower.from_first if single else analysis.lower.position
    view = ResultsView(
        lower=lower.value,
        lower_uncertainty=lower.uncertainty,
        upper=None if upper_errors is None else upper_errors.value,
        upper_uncertainty=None if upper_errors is None else upper_errors.uncertainty,
        standard_deviation=adjustment.standard_deviation,
        degrees_of_freedom=adjustment.degrees_of_freedom,
        repeatability=within,
        repeatability_freedom=within_freedom,
        misfits=_misfits(header, analysis),
        done=done,
        planned=planned,
        time_left=left,
        missing=" ".join(analysis.missing),
        decimals=reading_decimals(header, flow.session.matrix),
        names=names,
        remarks=cautions(analysis),
    )
    if flow.place.run >= header.design.whole_runs:
        return _over_arc(view, analysis, flow.place.run)
    return _alone(view, analysis) if single else view


def plot_view(header: Header, analysis: Analysis | None) -> PlotView:
    """Draw up the error plot; without determined errors it says what they need."""
    n = header.design.positions
    angle = np.arange(n, dtype=np.float64) * (360.0 / n)
    if analysis is None:
        unknown = np.full(n, np.nan)
        return PlotView(angle, unknown, unknown, None, None, "")
    if header.design.arcs:
        return _fine_plot(header, analysis)
    upper = analysis.upper.position if analysis.upper is not None else None
    lower = analysis.lower.from_first if upper is None else analysis.lower.position
    return PlotView(
        angle,
        lower.value,
        lower.uncertainty,
        None if upper is None else upper.value,
        None if upper is None else upper.uncertainty,
        " ".join(analysis.missing),
        names=circle_names(header),
        what="position error" if upper is not None else "error from the start",
    )


def _fine_plot(header: Header, analysis: Analysis) -> PlotView:
    """Draw up the error plot with every position of both circles that some run stops at."""
    at = np.union1d(*(analysis.adjustment.measured(name).at for name in CIRCLES))
    lower, upper = (_Fine.of(analysis, name, at) for name in CIRCLES)
    return PlotView(
        np.asarray(at * (360.0 / header.design.fine), dtype=np.float64),
        lower.error,
        lower.uncertainty,
        upper.error,
        upper.uncertainty,
        " ".join(analysis.missing),
        names=circle_names(header),
        read=(lower.read, upper.read),
    )


def progress(flow: Flow) -> tuple[int, int]:
    """Return planned readings done, and planned; extra repeats do not count."""
    design = flow.session.header.design
    planned = design.planned_cells * design.repeats
    return planned - flow.lacking(), planned


def reading_words(value: float, header: Header, flow: Flow, signs: Characters) -> str:
    """Return a reading as it is shown: with its sign, as many digits as a reading has."""
    return signed(value, reading_decimals(header, flow.session.matrix), signs)


def unit_sign(instrument: Instrument, signs: Characters) -> str:
    """Return the sign of the unit of an instrument, which is typed."""
    if instrument.unit == "arcsec":
        return signs.arcsec
    return "µrad" if signs.minus != "-" else "urad"


def _alone(view: ResultsView, analysis: Analysis) -> ResultsView:
    """Add what the results of a single closure have beside those of two circles."""
    interval, reference = analysis.lower.interval, analysis.reference
    what = "face" if by_faces(analysis.header) else "position"
    error, uncertainty = with_uncertainty(float(reference.value[0]), float(reference.uncertainty[0]), UNICODE)
    known = error != UNICODE.undetermined
    said = (
        f"Error of the fixed angle: {error} ± {uncertainty}″ (standard, type A)." if known else "",
        growth(analysis),
    )
    return replace(
        view,
        only="from 0",
        further=(("interval", interval.value, interval.uncertainty),),
        quantity=f"error from {what} 0, and of the interval to the next {what}",
        remarks=(*(words for words in said if words), *view.remarks),
    )


def _over_arc(view: ResultsView, analysis: Analysis, run: int) -> ResultsView:
    """Show both circles wherever the runs of this arc stop, from the beginning of the arc on."""
    design = analysis.header.design
    closure, runs = design.model(), analysis.adjustment.runs
    which, step = runs.planned()
    offset, setting = runs.setting(which, step)
    here = np.isin(which, part_of(design, run))
    at = np.union1d(closure.lower(setting)[here], closure.upper(offset, setting)[here])
    at = np.roll(at, -int(np.searchsorted(at, runs.start[run])))
    lower, upper = (_Fine.of(analysis, name, at) for name in CIRCLES)
    return replace(
        view,
        lower=lower.error,
        lower_uncertainty=lower.uncertainty,
        upper=upper.error,
        upper_uncertainty=upper.uncertainty,
        at=at,
        turn=design.fine,
        read=(lower.read, upper.read),
    )


@dataclass(frozen=True, slots=True, eq=False)
class _Fine:
    """What one circle has at given fine positions; nan where it is not read or not determined."""

    error: Floats
    uncertainty: Floats
    read: Flags

    @classmethod
    def of(cls, analysis: Analysis, circle: str, at: Ints) -> _Fine:
        """Look the positions up, (N,) ints, among those that some run stops at."""
        measured = analysis.adjustment.measured(circle)
        found = measured.position_at(at)
        return cls(found.value, found.root * analysis.deviation, np.isin(at, measured.at))


def _misfits(header: Header, analysis: Analysis) -> tuple[tuple[str, float], ...]:
    if not (header.design.closing and header.design.reading == "position"):
        return ()
    begun = set(analysis.cells.run.tolist()) - {run for run, _ in analysis.splits}
    return tuple(
        (f"run {run}", float(misfit)) for run, misfit in enumerate(analysis.misfit_as_read) if run in begun
    )
