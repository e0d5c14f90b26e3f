"""Variance factors of complete single and dual closures, by the cofactors of the adjustment and in closed form."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache, partial

import numpy as np

from sessions.selfcheck.check import Check
from sessions.selfcheck.tables import table
from solver.adjust import Adjustment, adjust
from solver.cells import gather
from solver.closure import Closure, Floats
from solver.variance import Variances, variances

_TOPIC = "Factors of complete closures"
_SOURCE = (
    "variances in units of that of a cell, of a value and of the worst position from position 0; "
    "algebra, confirmed by constrained least squares; the same two cases are treated by Estler, J. Res. Natl. Inst. "
    "Stand. Technol. 103 (1998) 141–151, and Reeve, NBSIR 75-750 (1975) (abstracts read, formulas from memory)"
)


def _closure(n: int, kind: str) -> Closure:
    if kind == "single":
        return Closure(n, kind="single", reading="interval")
    return Closure(n, reading="interval" if kind == "interval" else "position")


def _adjusted(n: int, kind: str) -> Adjustment:
    """Return the adjustment of a complete closure; its cofactors do not depend on the readings."""
    closure = _closure(n, kind)
    runs = np.arange(n if closure.dual else 1)
    steps = np.arange(n) + closure.first_step
    run, step = (each.ravel() for each in np.meshgrid(runs, steps, indexing="ij"))
    return adjust(closure, runs, gather(run, step, np.zeros(run.size)))


def _planned(n: int, kind: str) -> Variances:
    return variances(_closure(n, kind), tuple(range(n)) if kind != "single" else (0,))


def checks() -> tuple[Check, ...]:
    """Return the checks of this topic."""
    lines = table("closure_factors")
    adjusted = cache(_adjusted)

    def factors(
        name: str,
        heading: str,
        kind: str,
        seen: Callable[[Adjustment], Floats],
        planned: Callable[[Variances], float],
    ) -> tuple[Check, Check]:
        expected = {f"n = {line['n']}": float(line[heading]) for line in lines}
        sizes = [int(line["n"]) for line in lines]
        one = partial(Check, _TOPIC, source=_SOURCE, mark="recomputed", expected=expected, tolerance=1e-9)
        return (
            one(
                f"{name}, adjusted",
                function="solver.adjust.adjust",
                obtain=lambda: [
                    _farthest(seen(adjusted(n, kind)), want)
                    for n, want in zip(sizes, expected.values(), strict=True)
                ],
            ),
            one(
                f"{name}, planned",
                function="solver.variance.variances",
                obtain=lambda: [planned(_planned(n, kind)) for n in sizes],
            ),
        )

    return (
        *factors(
            "single: interval",
            "single_interval",
            "single",
            lambda made: made.lower.interval.root**2,
            lambda made: made.interval,
        ),
        *factors(
            "single: worst",
            "single_worst_position",
            "single",
            lambda made: made.lower.from_first.root.max(keepdims=True) ** 2,
            lambda made: made.any_two_worst,
        ),
        *factors(
            "by position: position",
            "dual_position_or_interval",
            "position",
            lambda made: _of_both(made, "position"),
            lambda made: made.position,
        ),
        *factors(
            "by position: any two",
            "dual_position_reading_any_two",
            "position",
            lambda made: _of_both(made, "from_first")[:, 1:],
            lambda made: made.any_two_worst,
        ),
        *factors(
            "by interval: interval",
            "dual_position_or_interval",
            "interval",
            lambda made: _of_both(made, "interval"),
            lambda made: made.interval,
        ),
        *factors(
            "by interval: worst",
            "dual_interval_reading_worst_position",
            "interval",
            lambda made: _of_both(made, "from_first").max(axis=1),
            lambda made: made.any_two_worst,
        ),
    )


def _of_both(adjustment: Adjustment, name: str) -> Floats:
    """Return the variance factors of both circles, shape (2, n)."""
    circles = (adjustment.lower, adjustment.upper)
    return np.array([getattr(circle, name).root ** 2 for circle in circles])


def _farthest(found: Floats, expected: float) -> float:
    """Return the one of many values, all expected to be the same, that is farthest off; nan if any is nan."""
    flat = np.ravel(found)
    return float(flat[np.argmax(np.abs(flat - expected))])
