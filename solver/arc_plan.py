"""What runs over arcs in fine steps will give before a reading is taken, and which offsets to read them at."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import gcd

import numpy as np

from solver.adjust import Adjustment, adjust
from solver.cells import Cells, gather
from solver.closure import Closure, Ints
from solver.refused import Refused
from solver.runs import Runs, arcs

#: Arc offsets proposed where no number is asked for.
USUAL_COUNT = 6
#: Adjustments that exchanges may take at subdivision 30; their cost grows with the third power.
TRIALS = 240
#: Relative gain below which two sets are as good as each other.
NO_GAIN = 1e-9


@dataclass(frozen=True, slots=True)
class Inside:
    """The fine positions of one circle that runs over arcs stop at, positions of the runs round the circle left out.

    Variances are in units of that of one cell, nan where one of the positions is not determined.

    Parameters
    ----------
    at : (P,) int array
        Fine positions, rising.
    loose : (L,) int array
        Those of them that are not determined.
    from_first_worst, from_first_mean : float
        Variance of the error from position 0: largest and mean over these positions.
    about_mean : float
        Mean variance of the error about the mean of the n positions.
    """

    at: Ints
    loose: Ints
    from_first_worst: float
    from_first_mean: float
    about_mean: float


@dataclass(frozen=True, slots=True)
class ArcOutlook:
    """What a plan with arcs gives once every cell is filled.

    Parameters
    ----------
    lower, upper : Inside
        Inside the arcs of each circle.
    positions_determined : bool
        Whether the errors of the n positions of both circles are determined, whatever stays open inside the arcs.
    missing : int
        Directions that stay undetermined.
    degrees_of_freedom : int
        Cells minus rank.
    """

    lower: Inside
    upper: Inside
    positions_determined: bool
    missing: int
    degrees_of_freedom: int

    @property
    def determined(self) -> bool:
        """Whether every error of both circles is determined."""
        return self.missing == 0


def arc_outlook(closure: Closure, runs: Runs, *, closing: bool = True) -> ArcOutlook:
    """Return what runs will give with every setting read once.

    Parameters
    ----------
    closure : Closure
        With its subdivision.
    runs : Runs
        Round the circle and over arcs.
    closing : bool
        Whether each run ends with a closing reading.

    Notes
    -----
    From the exact cofactor of the whole plan. Arcs are not alike: how the coarse positions at their ends are known
    depends on the arc, and the first and last arcs of a row have no neighbour; so none stands for the others.
    """
    found = adjust(closure, runs, every_cell(runs, closing=closing))
    circles = [circle for circle in (found.lower, found.upper) if circle is not None]
    return ArcOutlook(
        _inside(found, "lower"),
        _inside(found, "upper"),
        all(circle.position.determined for circle in circles),
        found.missing,
        found.degrees_of_freedom,
    )


def every_cell(runs: Runs, *, closing: bool) -> Cells:
    """Return every cell of the runs, with the value 0: only the places count."""
    each = runs.settings + int(closing)
    run = np.repeat(np.arange(len(runs), dtype=np.int64), each)
    begin = np.cumsum(each) - each
    step = np.arange(len(run), dtype=np.int64) - begin[run]
    return gather(run, step, np.zeros(len(run)), runs=len(runs))


def _inside(found: Adjustment, circle: str) -> Inside:
    measured = found.measured(circle)
    fine = measured.at % found.closure.subdivision != 0
    first, mean = measured.from_first.root[fine] ** 2, measured.position.root[fine] ** 2
    at = measured.at[fine]
    if not at.size:
        return Inside(at, at, np.nan, np.nan, np.nan)
    # max and mean of what holds a nan are nan.
    return Inside(at, at[np.isnan(first)], float(first.max()), float(first.mean()), float(mean.mean()))


def common_factor(subdivision: int, offsets: tuple[int, ...]) -> int:
    """Return the greatest common divisor of the subdivision and all differences of the arc offsets.

    Notes
    -----
    A reading compares lower position L with upper position k - L (or k + L). With a factor g > 1 the lower positions
    of a class L modulo g meet only the upper positions of one class; an error of a whole class and its opposite
    there change no reading but by what the constants of the runs take up. The coarse positions fix the class 0 of
    each circle alone, so that g - 1 directions or more stay open. With g = 1 the adjustment has to say.
    """
    first = offsets[0] if offsets else 0
    return gcd(subdivision, *(offset - first for offset in offsets))


def propose(
    closure: Closure, coarse: Ints, count: int = USUAL_COUNT, *, closing: bool = True
) -> tuple[int, ...]:
    """Return good offsets for runs over an arc, rising from 0, at most the subdivision.

    Parameters
    ----------
    closure : Closure
        With its subdivision m, at least 2.
    coarse : (runs,) int array
        Offsets of the runs round the circle, in positions.
    count : int, optional
        How many, from 2 to m + 1; fewer where m + 1 is less.
    closing : bool, optional
        Whether runs end with a closing reading.

    Returns
    -------
    tuple of int
        The same for the same arguments.

    Raises
    ------
    Refused
        For a count below 2, or no subdivision.

    Notes
    -----
    Sets whose differences are all different, stretched to the arc and not, are tried for the arc at 0 on its own; the
    best is bettered by exchanging one offset at a time as long as that lowers the mean variance inside the arc of
    the lower circle from position 0, each exchange beginning from the set of the last, or until the trials are used
    up. Not proven best.
    """
    m = closure.subdivision
    if m < 2:
        raise Refused("no interval is divided", where="subdivision", remedy="use 2 fine steps or more")
    if count < 2:
        raise Refused(
            f"{count} arc offset determines nothing", where="arc offsets", remedy="use 2 offsets or more"
        )
    count = min(count, m + 1)
    whole = Runs.of(closure, coarse)
    cost: dict[tuple[int, ...], tuple[int, float]] = {}

    def cost_of(offsets: tuple[int, ...]) -> tuple[int, float]:
        if offsets not in cost:
            shift = np.array(offsets, dtype=np.int64)
            found = arc_outlook(closure, whole.join(arcs(closure, 0 * shift, shift)), closing=closing)
            mean = found.lower.from_first_mean
            cost[offsets] = (found.missing, mean if np.isfinite(mean) else np.inf)
        return cost[offsets]

    best = min(_sets(m, count), key=lambda offsets: (*cost_of(offsets), offsets))
    most = len(cost) + int(TRIALS * min((30 / m) ** 3, 1.0))
    while True:
        affordable = (other for other in _exchanges(best, m) if other in cost or len(cost) < most)
        better = next((other for other in affordable if _better(cost_of(other), cost_of(best))), None)
        if better is None:
            return best
        best = better


def _better(one: tuple[int, float], other: tuple[int, float]) -> bool:
    return one[0] < other[0] or (one[0] == other[0] and one[1] < other[1] * (1 - NO_GAIN))


def _exchanges(offsets: tuple[int, ...], m: int) -> Iterator[tuple[int, ...]]:
    """Yield sets in which one offset other than 0 is another one, those in the middle of the arc first."""
    places = range(1, len(offsets))
    nearby = sorted(range(1, m + 1), key=lambda value: (abs(2 * value - m), value))
    for value in nearby:
        if value not in offsets:
            for place in places:
                yield tuple(sorted({*offsets[:place], *offsets[place + 1 :], value}))


def _sets(m: int, count: int) -> list[tuple[int, ...]]:
    """Return sets of `count` offsets from 0 to m to begin with."""
    ruler = _different(count)
    longest = ruler[-1]
    made = [tuple(range(count)), _filled({round(mark * m / longest) for mark in ruler}, m, count)]
    made.append(_filled({mark for mark in ruler if mark <= m}, m, count))
    triangular = {step * (step + 1) // 2 for step in range(count - 1)} | {m}
    made.append(_filled({mark for mark in triangular if mark <= m}, m, count))
    squares = [round(place**2 / (count - 1) ** 2 * (m - 1)) + (place > 0) for place in range(count)]
    made.append(_filled(set(squares), m, count))
    return list(dict.fromkeys(made))


def _filled(offsets: set[int], m: int, count: int) -> tuple[int, ...]:
    """Return `count` offsets: these, filled up with the smallest that are free."""
    free = (value for value in range(m + 1) if value not in offsets)
    chosen = set(offsets)
    while len(chosen) < count:
        chosen.add(next(free))
    return tuple(sorted(chosen)[:count])


def _different(count: int) -> list[int]:
    """Return the first numbers, from 0, of which no two pairs differ by the same (Mian and Chowla, 1944; memory)."""
    marks, differences = [0], set[int]()
    value = 0
    while len(marks) < count:
        value += 1
        new = {value - mark for mark in marks}
        if not new & differences:
            marks.append(value)
            differences |= new
    return marks
