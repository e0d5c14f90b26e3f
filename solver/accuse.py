"""From the verdict on the cells to flags on readings: bad cells, whole runs, jumps, closing misfits."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from solver.case import Case, Solved
from solver.changes import Change
from solver.flags import Flag, Test
from solver.judge import SHARE, Fault
from solver.jump import Jump
from solver.quantile import student
from solver.scene import Scene, neighbours
from solver.slips import Slip
from solver.suspects import Guilty, Suspect

#: Rivals of a guilty cell that are tried for a slip, and how sure a slip must be to prefer one of them.
TRIED, SURE = 12, 0.8

#: Median deviations from the median of its run beyond which a cell is an outlier there.
OUTLYING = 8.0

#: Relative difference of statistics below which two cells cannot be told apart at all.
TIE = 1e-6


def bad_cells(scene: Scene) -> Iterator[Flag]:
    """Yield a flag for each cell that the others do not bear out."""
    if not scene.verdict.search.guilty:
        return
    clean = scene.verdict.solved.case.without(scene.verdict.guilty).solved()
    for guilty in scene.verdict.search.guilty:
        suspect, slip = _culprit(scene, guilty, clean)
        yield _accusation(scene, guilty, suspect, slip)


def _accusation(scene: Scene, guilty: Guilty, suspect: Suspect, slip: Slip | None) -> Flag:
    predicted = scene.predicted(suspect)
    flag = scene.flag(
        scene.furthest(suspect.cell, predicted),
        "closing" if _is_closing(scene, guilty, suspect) else "residual",
        guilty.statistic,
        guilty.critical,
        strong=guilty.strong,
    )
    rivals = [each.cell for each in (guilty.suspect, *guilty.rivals) if each.cell != suspect.cell]
    return replace(
        scene.explained(flag, predicted, scene.deviation * suspect.root, slip),
        rivals=tuple(scene.place(cell) for cell in rivals),
    )


def _culprit(scene: Scene, guilty: Guilty, clean: Solved) -> tuple[Suspect, Slip | None]:
    """Return which cell to accuse of those that would explain the readings: one with a slip, else the latest."""
    around = neighbours(clean, guilty.suspect.cell, scene.verdict.solved.case, scene.deviation)
    slip = _slip(scene, guilty.suspect, around)
    tied = [(guilty.suspect, slip)]
    sure = []
    for each in guilty.rivals[:TRIED]:
        found = _slip(scene, each)
        if _tied(each, guilty.suspect):
            tied.append((each, found))
        elif slip is None and found is not None and found.probability > SURE:
            sure.append((each, found))
    best = max(tied, key=lambda pair: _blame(scene, *pair))
    if best[1] is None and sure:
        return max(sure, key=lambda pair: pair[1].probability)
    return best


def _blame(scene: Scene, suspect: Suspect, slip: Slip | None) -> tuple[float, bool, int]:
    """Return by what cells that cannot be told apart are ranked: slip, outlier in its run, latest."""
    case, cell = scene.recorded, suspect.cell
    others = case.reading[(case.group == case.group[cell]) & (np.arange(len(case)) != cell)]
    away = abs(float(case.reading[cell]) - float(np.median(others))) if len(others) else 0.0
    spread = float(np.median(np.abs(others - np.median(others)))) if len(others) else 0.0
    number = int(scene.readings.number[scene.members(cell)].max())
    return round(slip.probability, 2) if slip else 0.0, away > OUTLYING * spread, number


def _tied(first: Suspect, second: Suspect) -> bool:
    return abs(abs(first.error / first.root) / abs(second.error / second.root) - 1) < TIE


def _slip(scene: Scene, suspect: Suspect, around: list[tuple[float, float]] | None = None) -> Slip | None:
    predicted = scene.predicted(suspect)
    reading = scene.furthest(suspect.cell, predicted)
    return scene.slip(reading, predicted, scene.deviation * suspect.root, around or ())


def _is_closing(scene: Scene, guilty: Guilty, suspect: Suspect) -> bool:
    """Return whether what is wrong is that a run does not close: its ends alone differ, or the closing reading."""
    case = scene.recorded
    closure = case.closure
    if closure.drift != "none" or closure.reading != "position":
        return False
    ends = np.flatnonzero((case.group == case.group[suspect.cell]) & ((case.time == 0) | case.closing))
    pair = {each.cell for each in (guilty.suspect, *guilty.rivals)} == set(ends.tolist())
    return len(ends) == 2 and (pair or bool(case.closing[suspect.cell]))


def faults(scene: Scene) -> Iterator[Flag]:
    """Yield a flag for each run that is not what it is called, and for each jump."""
    for fault in scene.verdict.faults:
        if isinstance(fault.what, Change):
            yield _changed_run(scene, fault, fault.what)
        else:
            yield _jump(scene, fault, fault.what)


def _changed_run(scene: Scene, fault: Fault, change: Change) -> Flag:
    here = np.flatnonzero(scene.readings.run == change.run)
    first = int(here[scene.readings.number[here].argmin()])
    flag = scene.flag(first, "residual", fault.statistic, fault.critical, strong=fault.strong)
    moved = (change.lower, change.upper) if change.lower or change.upper else None
    return replace(flag, suggestion=change.name, moved=moved)


def _jump(scene: Scene, fault: Fault, jump: Jump) -> Flag:
    case, number = scene.verdict.solved.case, scene.readings.number
    run = int(case.run[case.group == jump.group][0])
    here = scene.readings.run == run
    after = here & (scene.readings.step >= jump.step)
    before = here & (scene.readings.step < jump.step)
    size = jump.size * int(case.sign[case.group == jump.group][0])
    if number[after].min() < number[before].min():
        # The run was read backward.
        after, size = before, -size
    first = int(np.flatnonzero(after)[number[after].argmin()])
    misfit = dict(closing_misfits(scene)).get(run)
    test: Test = "closing" if misfit is not None else "residual"
    flag = scene.flag(first, test, fault.statistic, fault.critical, strong=fault.strong)
    expected = scene.explained(flag, flag.value - size, scene.deviation * jump.root)
    return replace(expected, suggestion="jump", jump=size)


def closing_misfits(scene: Scene) -> Iterator[tuple[int, Flag]]:
    """Yield each run whose closing reading differs from its first by more than chance, and the flag."""
    case = scene.recorded
    closure = case.closure
    if not closure.dual or closure.reading != "position" or closure.drift != "none":
        return
    pairs = _closed(case)
    remaining = scene.verdict.search.remaining
    level = scene.level * SHARE / 2 / max(len(pairs), 1)
    for first, last in pairs:
        misfit = scene.mean(last) - scene.mean(first)
        variance, freedom = remaining.without(misfit**2 / 2)
        if freedom <= 0:
            continue
        deviation = float(np.sqrt(2 * variance))
        statistic, critical = abs(misfit) / deviation, float(student(level, freedom))
        if statistic > critical:
            reading = scene.furthest(last, scene.mean(first))
            slip = scene.slip(reading, scene.mean(first), deviation)
            strong = bool(statistic > student(level / 5, freedom))
            flag = scene.flag(reading, "closing", statistic, critical, strong=strong)
            flag = scene.explained(flag, scene.mean(first), deviation, slip)
            yield flag.run, replace(flag, rivals=(scene.place(first),))


def _closed(case: Case) -> list[tuple[int, int]]:
    """Return first and closing cell of each run that was closed and not split."""
    first = {int(case.run[i]): int(i) for i in np.flatnonzero(case.time == 0)}
    last = {int(case.run[i]): int(i) for i in np.flatnonzero(case.closing)}
    group = case.group
    return [
        (first[r], last[r]) for r in sorted(first.keys() & last.keys()) if group[first[r]] == group[last[r]]
    ]
