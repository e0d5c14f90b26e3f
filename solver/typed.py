"""What can be said of a reading as soon as it is typed: range, resolution, and the tolerances of the circles."""

from __future__ import annotations

import numpy as np

from solver.closure import Closure, Flags, Floats, Ints

#: How far from a multiple of the resolution, in resolutions, a typed number may be through binary rounding.
ROUNDING = 1e-4

#: Standard deviations of a reading that are allowed beyond the tolerances.
NOISE = 4.0


def beyond_range(typed: Floats, reach: float) -> Flags:
    """Return which typed values lie beyond the instrument's range of ± `reach`."""
    return np.asarray(np.abs(typed) > reach * (1 + 1e-12))


def off_resolution(typed: Floats, resolution: float) -> Floats:
    """Return how far typed values are from the nearest multiple of `resolution`, in resolutions; 0 for rounding."""
    steps = np.asarray(typed, dtype=float) / resolution
    away = np.abs(steps - np.round(steps))
    return np.where(away > ROUNDING + 1e-12 * np.abs(steps), away, 0.0)


def implied_resolution(typed: Floats) -> float | None:
    """Return the decimal place to which all values are typed, down to 1e-6; None if they are not rounded."""
    for decimals in range(7):
        if not off_resolution(typed, 10.0**-decimals).any():
            return float(10.0**-decimals)
    return None


def reach(closure: Closure, lower: float, upper: float) -> float:
    """Return how far a reading can be from what its run shares, arc seconds.

    Parameters
    ----------
    closure : Closure
        The model.
    lower, upper : float
        Tolerances: no position error about the mean is larger. `upper` counts for a dual closure only.
    """
    total = lower + (upper if closure.dual else 0.0)
    return total if closure.reading == "position" else 2 * total


def implausible(
    closure: Closure, group: Ints, value: Floats, number: Ints, allowed: float, noise: float
) -> dict[int, tuple[float, float]]:
    """Find the readings that no circles within their tolerances could give together.

    What the readings of a group share is unknown, but they cannot lie further apart than twice what the
    tolerances allow each of them. While they do, the one furthest from their median is taken out; of two alone,
    the later.

    Parameters
    ----------
    closure : Closure
        The model. Readings by "interval" without drift share nothing: their constant is 0. Readings by "position" with
        a drift of their run may lie any way apart.
    group, value, number : (M,) arrays
        Group, value in arc seconds and entry number of each reading.
    allowed : float
        From `reach`.
    noise : float
        Standard deviation of a reading; 0 where it is not known.

    Returns
    -------
    dict
        Index of each implausible reading with its distance and the distance allowed, arc seconds.
    """
    if closure.dual and closure.shared_terms == 0:
        limit = allowed + NOISE * noise
        return {int(i): (abs(float(value[i])), limit) for i in np.flatnonzero(np.abs(value) > limit)}
    if closure.shared_terms > 1:
        return {}
    limit = float(2 * allowed + NOISE * np.sqrt(2) * noise)
    found: dict[int, tuple[float, float]] = {}
    for one in np.unique(group):
        here = np.flatnonzero(group == one)
        while len(here) > 1 and np.ptp(value[here]) > limit:
            away = np.abs(value[here] - np.median(value[here]))
            worst = int(np.lexsort((number[here], away))[-1])
            others = np.delete(here, worst)
            found[int(here[worst])] = (float(np.abs(value[others] - value[here[worst]]).max()), limit)
            here = others
    return found
