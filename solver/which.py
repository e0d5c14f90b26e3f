"""Which of two readings of a cell fits all else: the other cells where they predict it, or else its run."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from solver.closure import Floats, Ints
from solver.deleted import NOT_PREDICTED, Scale
from solver.scene import Scene
from solver.suspects import Suspect
from solver.typed import reach

#: Evidence, a natural logarithm of odds, beyond which the other reading is cleared: 20 to 1.
SURELY = float(np.log(20.0))

#: Cells of a run from which on their own scatter says how far apart its readings lie.
ENOUGH = 3

#: Degrees of freedom of the tails that readings of a run are supposed to have: the errors of a circle are no noise.
TAILS = 3.0

#: Standard deviation of normal values over the median of their absolute values.
NORMAL = 1.4826


def bad_of_pair(scene: Scene, cell: int, wide: Sequence[int]) -> tuple[int, int, bool]:
    """Return the reading of a pair that all else speaks against, else the later; the other; and whether that is sure.

    Parameters
    ----------
    scene, cell, wide
        As for `evidence_against`; the cell holds two readings.
    """
    members = scene.members(cell)
    first, second = members[np.argsort(scene.readings.number[members])].tolist()
    against = evidence_against(scene, cell, scene.value[second], scene.value[first], wide)
    bad, other = (first, second) if against < -SURELY else (second, first)
    return bad, other, abs(against) > SURELY


def evidence_against(scene: Scene, cell: int, value: float, other: float, wide: Sequence[int]) -> float:
    """Return by how much likelier it is that `value` is bad than that `other` is, as a natural logarithm.

    Parameters
    ----------
    scene : Scene
        Readings in their cells, and the verdict on the cells.
    cell : int
        The cell of both.
    value, other : float
        The readings, arc seconds.
    wide : sequence of int
        All cells whose repeats disagree, this one among them: none of them says anything of another.

    Returns
    -------
    float
        Of Student's t about what is expected of the cell; 0 where nothing is.
    """
    expected = _predicted(scene, cell, wide)
    if expected is None:
        expected = _by_its_run(scene, cell, wide)
    if expected is None:
        return 0.0
    centre, deviation, freedom = expected
    near, far = ((other - centre) / deviation) ** 2, ((value - centre) / deviation) ** 2
    if np.isinf(freedom):
        return float((far - near) / 2)
    return float((freedom + 1) / 2 * np.log((freedom + far) / (freedom + near)))


def _predicted(scene: Scene, cell: int, wide: Sequence[int]) -> tuple[float, float, float] | None:
    """Return what the cells that are not in doubt predict, its standard deviation and degrees of freedom."""
    verdict = scene.verdict
    solved, doubted = verdict.solved, list(dict.fromkeys([cell, *wide, *verdict.guilty.tolist()]))
    block = np.array([solved.column(i)[doubted] for i in doubted])
    if np.linalg.eigvalsh(block)[0] < NOT_PREDICTED:
        return None
    inverse = np.linalg.inv(block)
    inner = solved.residual[doubted]
    error = inverse @ inner
    origin = verdict.search.remaining
    scale = Scale(solved.squares, solved.freedom, origin.accepted, origin.least)
    variance, freedom = scale.struck(float(inner @ error), len(doubted)).without(0.0, 0)
    root = float(np.sqrt(inverse[0, 0]))
    deviation = float(np.sqrt(variance)) * root
    if freedom <= 0 or not deviation > 0:
        return None
    return scene.predicted(Suspect(cell, float(error[0]), root)), deviation, freedom


def _by_its_run(scene: Scene, cell: int, wide: Sequence[int]) -> tuple[float, float, float] | None:
    """Return the median of the run, and how far its readings lie from it: by their scatter, or the tolerances."""
    case, limits = scene.recorded, scene.limits
    sound = np.ones(len(case), dtype=bool)
    sound[list(wide)] = False
    own = np.flatnonzero(sound & (case.group == case.group[cell]))
    if not len(own):
        return None
    centre = float(np.median(case.reading[own]) + case.base[case.group[cell]])
    deviation = 0.0
    if len(own) >= ENOUGH:
        deviation = NORMAL * float(np.median(_about_medians(case.reading[sound], case.group[sound])))
    elif limits.lower is not None and (limits.upper is not None or not case.closure.dual):
        deviation = reach(case.closure, limits.lower, limits.upper or 0.0) / 2
    return (centre, deviation, TAILS) if deviation > 0 else None


def _about_medians(reading: Floats, group: Ints) -> Floats:
    """Return how far each reading lies from the median of its group."""
    away = np.empty(len(reading))
    for each in np.unique(group):
        here = group == each
        away[here] = np.abs(reading[here] - np.median(reading[here]))
    return away
