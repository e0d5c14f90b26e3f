"""A session analysed: the adjustment, its uncertainties, what is suspect and what is missing."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sessions.design import Design
from sessions.header import Header
from sessions.matrix import Snapshot
from sessions.missing import missing_words
from solver.adjust import Adjustment, Circle, Values, adjust
from solver.cells import Cells
from solver.closure import Floats, Ints
from solver.flags import Flag, Screening


@dataclass(frozen=True, slots=True)
class Estimate:
    """Values with their standard uncertainties (type A), arc seconds; nan where not determined."""

    value: Floats
    uncertainty: Floats


@dataclass(frozen=True, slots=True)
class CircleErrors:
    """Solved errors of one circle: about the mean, from position 0, and of the intervals."""

    position: Estimate
    from_first: Estimate
    interval: Estimate


@dataclass(frozen=True, slots=True)
class Analysis:
    """What a session's readings say, arc seconds throughout.

    Parameters
    ----------
    header : Header
        Header with its amendments.
    cells : Cells
        Filled cells.
    group : (N,) int array
        Group of each cell: the part of its run that shares a constant.
    splits : tuple of (run, step)
        Where runs were split.
    adjustment : Adjustment
        Of the cells.
    deviation : float
        Standard deviation of one cell behind the uncertainties: the residual one, or without a degree of
        freedom the accepted one; nan where there is neither.
    deviation_accepted : bool
        Whether `deviation` is the accepted one.
    lower, upper : CircleErrors
        `upper` is None for a single closure.
    reference : Estimate
        (1,) error of the fixed angle of a single closure; empty for a dual one.
    closing_misfit : (runs,) array
        Reading of the closing step minus that of step 0 of each run, whichever way it was read; nan where either is
        missing or the run is split between them.
    missing : tuple of str
        What the readings do not determine yet and what would.
    screening : Screening or None
        What is suspect, and what could not be tested; None where nothing was screened.
    """

    header: Header
    cells: Cells
    group: Ints
    splits: tuple[tuple[int, int], ...]
    adjustment: Adjustment
    deviation: float
    deviation_accepted: bool
    lower: CircleErrors
    upper: CircleErrors | None
    reference: Estimate
    closing_misfit: Floats
    missing: tuple[str, ...]
    screening: Screening | None = None

    @property
    def misfit_as_read(self) -> Floats:
        """Last minus first reading of each run, (runs,): the closing misfit, turned where a run was read backwards."""
        return self._ways * self.closing_misfit

    @property
    def drift_as_read(self) -> Floats:
        """Drift from one reading to the next, (runs,); nan where the model has none."""
        return self._ways * self.adjustment.drift.value[: len(self._ways)]

    @property
    def _ways(self) -> Floats:
        return np.array([-1.0 if run.direction == "return" else 1.0 for run in self.header.design.runs])

    @property
    def flags(self) -> tuple[Flag, ...]:
        """What is suspect, heaviest first."""
        return () if self.screening is None else self.screening.flags

    @property
    def circles(self) -> tuple[tuple[str, CircleErrors], ...]:
        """The circles by name, lower first."""
        both = (("lower", self.lower), ("upper", self.upper))
        return tuple((name, errors) for name, errors in both if errors is not None)

    def group_of(self, run: int, step: int) -> int:
        """Return the group of any cell, filled or not."""
        return group_of(run, step, self.splits, self.header.design.run_count)


def analyse(snapshot: Snapshot, *, screened: bool = True) -> Analysis:
    """Adjust the readings of a snapshot, attach uncertainties and words, and look for bad readings.

    Parameters
    ----------
    snapshot : Snapshot
        Frozen state of the reading matrix.
    screened : bool, optional
        Whether to look for bad readings; without that there are no flags.

    Returns
    -------
    Analysis
        In arc seconds, whatever unit was typed.
    """
    header = snapshot.header
    design = header.design
    closure = design.model(header.instrument.polarity)
    runs = design.courses(closure)
    cells = cells_of(snapshot)
    group = groups_of(cells, snapshot.splits, len(runs))
    adjustment = adjust(closure, runs, cells, group, len(runs) + len(snapshot.splits))
    deviation, accepted = _deviation(header, adjustment)
    return Analysis(
        header=header,
        cells=cells,
        group=group,
        splits=snapshot.splits,
        adjustment=adjustment,
        deviation=deviation,
        deviation_accepted=accepted,
        lower=_circle(adjustment.lower, deviation),
        upper=_circle(adjustment.upper, deviation) if adjustment.upper is not None else None,
        reference=_estimate(adjustment.reference, deviation),
        closing_misfit=_closing_misfit(design, cells, snapshot.splits),
        missing=missing_words(design, cells, adjustment),
        screening=_screening(snapshot, cells, group, adjustment) if screened else None,
    )


def _screening(snapshot: Snapshot, cells: Cells, group: Ints, adjustment: Adjustment) -> Screening | None:
    if not len(cells):
        return None
    # Screening needs quantiles, whose import waits until there is something to judge.
    from sessions.screening import screen_snapshot

    return screen_snapshot(snapshot, cells, group, adjustment)


def cells_of(snapshot: Snapshot) -> Cells:
    """Return the filled cells of a snapshot, converted to arc seconds."""
    factor = snapshot.header.instrument.arcsec_per_unit
    run, step = np.nonzero(snapshot.count)
    return Cells(
        run=run,
        step=step,
        value=snapshot.mean[run, step] * factor,
        count=snapshot.count[run, step],
        squares=snapshot.squares[run, step] * factor**2,
        base=snapshot.base * factor,
    )


def groups_of(cells: Cells, splits: tuple[tuple[int, int], ...], runs: int) -> Ints:
    """Return the group of each cell: its run, and from a split on a group numbered after the runs."""
    group = cells.run.copy()
    for number, (run, step) in enumerate(sorted(splits)):
        group[(cells.run == run) & (cells.step >= step)] = runs + number
    return group


def group_of(run: int, step: int, splits: tuple[tuple[int, int], ...], runs: int) -> int:
    """Return the group of one cell, numbered as `groups_of` does."""
    group = run
    for number, (split_run, split_step) in enumerate(sorted(splits)):
        if split_run == run and step >= split_step:
            group = runs + number
    return group


def _deviation(header: Header, adjustment: Adjustment) -> tuple[float, bool]:
    if adjustment.degrees_of_freedom > 0:
        return adjustment.standard_deviation, False
    accepted = header.instrument.accepted_sd
    return (np.nan, False) if accepted is None else (accepted * header.instrument.arcsec_per_unit, True)


def _circle(circle: Circle, deviation: float) -> CircleErrors:
    return CircleErrors(
        _estimate(circle.position, deviation),
        _estimate(circle.from_first, deviation),
        _estimate(circle.interval, deviation),
    )


def _estimate(values: Values, deviation: float) -> Estimate:
    return Estimate(values.value, uncertainty_of(values, deviation))


def uncertainty_of(values: Values, deviation: float) -> Floats:
    """Return standard uncertainties (type A), shape (M,): 0 of what is 0 by definition, whatever the deviation."""
    return np.where(values.root == 0.0, 0.0, values.root * deviation)


def _closing_misfit(design: Design, cells: Cells, splits: tuple[tuple[int, int], ...]) -> Floats:
    first, closing = np.full((2, design.run_count), np.nan)
    if design.reading == "position":
        end = np.array([design.closing_step(run) for run in range(design.run_count)], dtype=np.int64)
        at_start, at_end = cells.step == 0, cells.step == end[cells.run]
        first[cells.run[at_start]] = cells.value[at_start]
        closing[cells.run[at_end]] = cells.value[at_end]
    # Across a split it is the knock that one would see, not how well the run closes.
    first[[run for run, _ in splits]] = np.nan
    return np.asarray(closing - first)
