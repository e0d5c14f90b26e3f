"""Screening: every test that the readings allow, put together."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import replace
from math import sqrt

import numpy as np

from solver.accuse import bad_cells, closing_misfits, faults
from solver.adjust import Adjustment
from solver.case import Case, Solved
from solver.cells import Cells
from solver.closure import Flags, Ints
from solver.deleted import NOT_PREDICTED, Accepted, Scale, least_variance
from solver.flags import Flag, Limits, NotTested, Readings, Screening
from solver.gross import gross, slipped_pairs
from solver.judge import SHARE, Standard, Verdict, investigate
from solver.quantile import fisher
from solver.repeated import disagreements
from solver.runs import Runs
from solver.scene import Scene
from solver.typed import ROUNDING, beyond_range, implausible, implied_resolution, off_resolution, reach

#: Degrees of freedom beyond which the readings tell their scatter to some percent: nothing else is needed.
ENOUGH = 400

#: Level at which the readings contradict the accepted standard deviation.
CONTRADICTS = 0.01


def screen(
    adjustment: Adjustment,
    offset: Ints | Runs,
    cells: Cells,
    readings: Readings,
    limits: Limits | None = None,
    group: Ints | None = None,
    level: float = 0.05,
) -> Screening:
    """Screen all readings of a session.

    Parameters
    ----------
    adjustment : Adjustment
        Of the cells, as from `solver.adjust.adjust`.
    offset : (runs,) int array or Runs
        As for `adjust`.
    cells : Cells
        Filled cells, arc seconds: the means of `readings`.
    readings : Readings
        The accepted readings.
    limits : Limits, optional
        What is known of instrument and circles.
    group : (N,) int array, optional
        Group of each cell, as given to `adjust`.
    level : float
        Probability that the residuals of a clean session raise a flag; the other tests of cells and runs share
        about a fifth of that.

    Returns
    -------
    Screening

    Notes
    -----
    Design document, section 3.
    """
    limits = limits if limits is not None else Limits()
    closure = adjustment.closure
    case = Case.of(closure, offset, cells, group)
    solved = Solved.of(case, adjustment)
    step = limits.resolution or implied_resolution(np.asarray(readings.typed, dtype=float))
    resolution = step * limits.unit if step else None
    least = least_variance(closure, cells, resolution)
    verdict, contradicted = _verdict(solved, Standard(level, limits.accepted, least, limits.planned))
    scene = Scene(
        recorded=case,
        verdict=verdict,
        readings=readings,
        limits=limits,
        value=np.asarray(readings.typed, dtype=float) * limits.unit,
        cell=_cells_of(readings, cells),
        cells=cells,
        level=level,
        resolution=step,
    )
    found = list(faults(scene)) + list(bad_cells(scene))
    blamed = {flag.run for flag in found if flag.suggestion == "jump"}
    ends = {(flag.run, flag.step) for flag in found}
    for run, flag in closing_misfits(scene):
        if run not in blamed and not ends & {(run, 0), (run, int(case.runs.settings[run]))}:
            found.append(flag)
    digit = (resolution or 0.0) / sqrt(12)
    found += disagreements(scene, level * SHARE, digit**2)
    found += slipped_pairs(scene, digit, {(flag.run, flag.step) for flag in found})
    tested = (solved.redundancy > NOT_PREDICTED) & bool(verdict.search.steps)
    found += _tolerance(scene, tested, {(flag.run, flag.step) for flag in found})
    found += gross(scene, tested, digit)
    flags = [*_merged(found), *_as_typed(scene)]
    kept = set(np.asarray(readings.number)[np.asarray(readings.kept, dtype=bool)].tolist())
    flags = sorted((flag for flag in flags if flag.entry not in kept), key=lambda flag: -flag.weight)
    return Screening(
        tuple(flags), tuple(_not_tested(scene, tested)), scene.deviation, scene.freedom, contradicted
    )


def _verdict(solved: Solved, standard: Standard) -> tuple[Verdict, bool]:
    """Return the verdict, without the accepted standard deviation if the readings contradict it."""
    if solved.freedom > ENOUGH:
        standard = replace(standard, accepted=None)
    verdict = investigate(solved, standard)
    if standard.accepted is None or not _contradicts(verdict, standard.accepted, standard.least):
        return verdict, False
    return investigate(solved, replace(standard, accepted=None)), True


def _contradicts(verdict: Verdict, accepted: Accepted, least: float) -> bool:
    remaining = verdict.search.remaining
    own = Scale(remaining.squares, remaining.freedom, None, least)
    variance, freedom = own.without(0.0, 0)
    if freedom < 1:
        return False
    ratio = float(variance) / max(accepted.deviation**2, least)
    high = ratio > float(fisher(CONTRADICTS / 2, freedom, accepted.freedom))
    low = 1 / max(ratio, 1e-300) > float(fisher(CONTRADICTS / 2, accepted.freedom, freedom))
    return high or low or verdict.search.exhausted


def _cells_of(readings: Readings, cells: Cells) -> Ints:
    """Return the cell of each reading."""
    width = int(cells.step.max(initial=0)) + 1
    place = cells.run * width + cells.step
    order = np.argsort(place, kind="stable")
    found = np.searchsorted(place[order], np.asarray(readings.run) * width + np.asarray(readings.step))
    return np.asarray(order[found], dtype=np.int64)


def _merged(flags: list[Flag]) -> list[Flag]:
    """Return one flag for each reading: one that can explain it, else the heaviest."""
    best: dict[int, Flag] = {}
    for flag in flags:
        before = best.get(flag.entry)
        if before is None or _rank(flag) > _rank(before):
            best[flag.entry] = flag
    # Where something else names the bad one of a pair, it is no longer one of the two.
    return [flag for flag in best.values() if not best.keys() & set(flag.others)]


def _rank(flag: Flag) -> tuple[bool, float]:
    return flag.suggestion is not None, flag.weight


def _as_typed(scene: Scene) -> Iterator[Flag]:
    """Yield flags for readings beyond the range and off the resolution."""
    readings, limits = scene.readings, scene.limits
    typed = np.asarray(readings.typed, dtype=float)
    if limits.range is not None:
        for i in np.flatnonzero(beyond_range(typed, limits.range)):
            beyond, allowed = abs(float(scene.value[i])), limits.range * limits.unit
            yield scene.flag(int(i), "range", beyond, allowed)
    if limits.resolution:
        away = off_resolution(typed, limits.resolution)
        for i in np.flatnonzero(away):
            yield scene.flag(int(i), "resolution", float(away[i]), ROUNDING)


def _tolerance(scene: Scene, tested: Flags, known: Collection[tuple[int, int]]) -> Iterator[Flag]:
    """Yield flags for readings that tolerances rule out, as long as no other cell bears them out or not.

    One cell of a run that lies too far off may be a slip. Where several do, or all readings of one, circles out of
    tolerance are as likely: each is pointed out, but no slip is read into it, and of a cell in `known`, which is
    flagged already, it says nothing.
    """
    limits, case = scene.limits, scene.recorded
    if limits.lower is None or (case.closure.dual and limits.upper is None) or tested.all():
        return
    allowed = reach(case.closure, limits.lower, limits.upper or 0.0)
    noise = limits.accepted.deviation if limits.accepted else scene.deviation if tested.any() else 0.0
    group = case.group[scene.cell]
    open_ = np.isin(group, case.group[~tested])
    where = np.flatnonzero(open_)
    number = np.asarray(scene.readings.number)[where]
    found = implausible(case.closure, group[where], scene.value[where], number, allowed, noise)
    far = where[list(found)]
    for reading, (away, limit) in zip(far.tolist(), found.values(), strict=True):
        cell = scene.cell[reading]
        if tested[cell]:
            continue
        alone = np.count_nonzero(group[far] == group[reading]) == 1
        if not alone and scene.place(cell) in known:
            continue
        flag = scene.flag(reading, "tolerance", away, limit, strong=alone)
        others = where[(group[where] == group[reading]) & (where != reading)]
        if not len(others) or not alone:
            yield flag
            continue
        middle = float(np.median(scene.value[others]))
        slip = scene.slip(reading, middle, allowed / 2)
        yield scene.explained(flag, middle, allowed / 2, slip)


def _not_tested(scene: Scene, tested: Flags) -> Iterator[NotTested]:
    """Yield the tests that could not be made, and why."""
    limits, case = scene.limits, scene.recorded
    closure = case.closure
    if limits.range is None:
        yield NotTested("range", "the range of the instrument is not stated")
    if limits.resolution is None:
        yield NotTested("resolution", "the resolution of the instrument is not stated")
    if limits.lower is None or (closure.dual and limits.upper is None):
        yield NotTested("tolerance", "the tolerances of the circles are not stated")
    elif closure.shared_terms > 1:
        yield NotTested("tolerance", "the drift model allows readings of a run to lie apart")
    repeats = scene.cells.repeatability[1]
    if not repeats:
        yield NotTested("repeats", "no cell holds repeats")
    if np.count_nonzero(scene.cells.count > 1) < 2:
        yield NotTested("spread", "fewer than two cells hold repeats")
    redundant = scene.verdict.solved.redundancy > NOT_PREDICTED
    if not redundant.any():
        yield NotTested("residual", "no cell is predicted by the others yet")
    elif not tested.any():
        yield NotTested(
            "residual", "the scatter is not known: too few readings and no accepted standard deviation"
        )
    if not closure.dual or closure.reading != "position":
        yield NotTested("closing", "this kind of reading has no closing reading")
    elif closure.drift != "none":
        yield NotTested("closing", "the drift model allows for a closing misfit")
    elif not case.closing.any():
        yield NotTested("closing", "no run is closed yet")
    elif scene.freedom <= 1:
        # A run's own misfit is no scatter to judge it by.
        yield NotTested(
            "closing", "the scatter is not known: too few readings and no accepted standard deviation"
        )
