"""What a budget comes to for the results that one looks at: of each kind the one that is known least."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sessions.analysis import Analysis
from sessions.budget import Budget, expanded, of_any_two
from sessions.certificate.numbers import angle
from solver.budget import Uncertainty
from solver.closure import Floats

#: Positions up to which all pairs are looked at.
_MOST_PAIRS = 360


@dataclass(frozen=True, slots=True)
class Shown:
    """One result and its uncertainty, arc seconds.

    Parameters
    ----------
    words : str
        Which result it is.
    standard, freedom, factor, expanded : float
        Combined standard uncertainty, effective degrees of freedom, coverage factor, expanded uncertainty.
    components, shares : (1 + L,) arrays
        Standard uncertainty and share in the variance of the scatter, then of each line.
    """

    words: str
    standard: float
    freedom: float
    factor: float
    expanded: float
    components: Floats
    shares: Floats


def shown(analysis: Analysis, budget: Budget) -> tuple[Shown, ...]:
    """Return the least known position error, interval error and difference of two positions of each circle.

    What is not determined with its uncertainty is left out.
    """
    n = analysis.header.design.positions
    found = []
    for name, u in expanded((), analysis, budget).circles:
        about = _least(u.position)
        if about is not None:
            words = f"{name} circle, position {about} ({angle(about, n)}) about the mean"
            found.append(_one(words, u.position, about))
        interval = _least(u.interval)
        if interval is not None:
            words = f"{name} circle, interval from {angle(interval, n)} to {angle((interval + 1) % n, n)}"
            found.append(_one(words, u.interval, interval))
        if n <= _MOST_PAIRS:
            start, to = np.triu_indices(n, 1)
            _, pairs = of_any_two(analysis, budget, name, to, start)
            worst = _least(pairs)
            if worst is not None:
                words = f"{name} circle, from {angle(int(start[worst]), n)} to {angle(int(to[worst]), n)}"
                found.append(_one(f"{words}, of any two positions", pairs, worst))
    return tuple(found)


def _least(u: Uncertainty) -> int | None:
    return int(np.nanargmax(u.expanded)) if np.isfinite(u.expanded).any() else None


def _one(words: str, u: Uncertainty, at: int) -> Shown:
    return Shown(
        f"{words}, the least known",
        float(u.standard[at]),
        float(u.freedom[at]),
        float(u.factor[at]),
        float(u.expanded[at]),
        u.components[:, at],
        u.shares[:, at],
    )
