"""What a budget comes to for the results that one looks at: of each kind the one that is known least."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sessions.analysis import Analysis
from sessions.budget import MOST_PAIRS, Budget, expanded, least_known, of_any_two
from sessions.circle_words import angle_words, circle_words
from solver.budget import Uncertainty
from solver.closure import Floats


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

    Of a single closure the fixed angle comes last.

    What is not determined with its uncertainty is left out.
    """
    n = analysis.header.design.positions
    found = []
    worked = expanded((), analysis, budget)
    for (name, u), words in zip(worked.circles, circle_words(analysis.header), strict=True):
        about = least_known(u.position)
        if about is not None:
            told = f"{words.item}, {words.place} {about} ({angle_words(about, n)}) about the mean"
            found.append(_one(told, u.position, about))
        interval = least_known(u.interval)
        if interval is not None:
            start, to = angle_words(interval, n), angle_words((interval + 1) % n, n)
            told = f"{words.item}, {words.interval} from {start} to {to}"
            found.append(_one(told, u.interval, interval))
        if n <= MOST_PAIRS:
            first, second = np.triu_indices(n, 1)
            _, pairs = of_any_two(analysis, budget, name, second, first)
            worst = least_known(pairs)
            if worst is not None:
                start, to = angle_words(int(first[worst]), n), angle_words(int(second[worst]), n)
                told = f"{words.item}, from {start} to {to}, of any two {words.place}s"
                found.append(_one(told, pairs, worst))
    if worked.reference is not None and np.isfinite(worked.reference.expanded[0]):
        found.append(_shown("the fixed angle", worked.reference, 0))
    return tuple(found)


def _one(words: str, u: Uncertainty, at: int) -> Shown:
    return _shown(f"{words}, the least known", u, at)


def _shown(words: str, u: Uncertainty, at: int) -> Shown:
    return Shown(
        words,
        float(u.standard[at]),
        float(u.freedom[at]),
        float(u.factor[at]),
        float(u.expanded[at]),
        u.components[:, at],
        u.shares[:, at],
    )
