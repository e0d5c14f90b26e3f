"""Partial closures: what a few offsets give, and perfect difference sets."""

from __future__ import annotations

from functools import partial

import numpy as np

from sessions.selfcheck.check import Check
from solver.adjust import adjust
from solver.cells import gather
from solver.closure import Closure
from solver.difference_sets import difference_set, is_difference_set
from solver.offsets import best_offsets
from solver.variance import variances

_TOPIC = "Partial closures, sets of offsets"
_FACTORS = (
    "mean variance about the mean by the discrete Fourier transform; confirmed by constrained least squares"
)
_SETS = "perfect difference sets (Singer, Trans. Amer. Math. Soc. 43 (1938) 377–385), every difference counted here"
_RESIDUES = "quadratic residues (Paley, J. Math. Phys. 12 (1933) 311–320), every difference counted here"

#: Positions, offsets, and the mean variance about the mean in units of that of a cell.
_CHOICES = ((12, (0, 1, 4), 0.4543), (12, (0, 1, 3, 7), 0.2817), (13, (0, 1, 3, 9), 0.2840))

_PERFECT = ((7, (0, 1, 3)), (13, (0, 1, 3, 9)), (21, (0, 1, 4, 14, 16)))


def checks() -> tuple[Check, ...]:
    """Return the checks of this topic."""
    expected = {_words(positions, offsets): factor for positions, offsets, factor in _CHOICES}
    factor = partial(Check, _TOPIC, source=_FACTORS, mark="recomputed", expected=expected, tolerance=5e-5)
    members = {f"{_words(n, s)}, offset {i}": k for n, s in _PERFECT for i, k in enumerate(s, 1)}
    return (
        factor(
            "variance factor, planned",
            function="solver.variance.variances",
            obtain=lambda: [variances(Closure(n), offsets).position for n, offsets, _ in _CHOICES],
        ),
        factor(
            "variance factor, adjusted",
            function="solver.adjust.adjust",
            obtain=lambda: [_adjusted(n, offsets) for n, offsets, _ in _CHOICES],
        ),
        Check(
            _TOPIC,
            "offsets that the search finds",
            _SETS,
            "memory",
            "solver.offsets.best_offsets",
            members,
            0,
            lambda: [k for n, offsets in _PERFECT for k in best_offsets(Closure(n), len(offsets))],
        ),
        Check(
            _TOPIC,
            "sets found perfect (1: yes)",
            _SETS,
            "recomputed",
            "solver.difference_sets.is_difference_set",
            {_words(n, offsets): 1 for n, offsets in _PERFECT},
            0,
            lambda: [is_difference_set(n, offsets) for n, offsets in _PERFECT],
        ),
        Check(
            _TOPIC,
            "how often each difference comes",
            _RESIDUES,
            "memory",
            "solver.difference_sets.difference_set",
            {f"5 of 11, difference {k}": 2 for k in range(1, 11)},
            0,
            lambda: _counted(11, difference_set(11, 5)),
        ),
    )


def _words(positions: int, offsets: tuple[int, ...]) -> str:
    return f"{{{', '.join(map(str, offsets))}}} of {positions}"


def _adjusted(positions: int, offsets: tuple[int, ...]) -> float:
    run, step = (
        each.ravel() for each in np.meshgrid(np.arange(len(offsets)), np.arange(positions), indexing="ij")
    )
    made = adjust(Closure(positions), np.array(offsets), gather(run, step, np.zeros(run.size)))
    return float(np.mean(made.lower.position.root**2))


def _counted(positions: int, members: tuple[int, ...]) -> list[int]:
    differences = [(a - b) % positions for a in members for b in members if a != b]
    return [differences.count(shift) for shift in range(1, positions)]
