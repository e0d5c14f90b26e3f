"""Several outliers at once: Rosner's 54 values."""

from __future__ import annotations

from collections.abc import Callable
from functools import cached_property, partial

import numpy as np

from sessions.selfcheck.check import Check
from sessions.selfcheck.tables import column
from solver.closure import Floats
from solver.deleted import Residuals
from solver.esd import generalized_esd
from solver.suspects import Search, Step

_TOPIC = "Several outliers, generalized ESD"
_SOURCE = (
    "Rosner, Technometrics 25 (1983) 165–172: 54 values, up to 10 outliers; five pairs read, all recomputed"
)


class _Sample:
    """The 54 values and the search for outliers among them, made once."""

    @cached_property
    def values(self) -> Floats:
        """The sample."""
        return column("rosner_54", "x")

    @cached_property
    def search(self) -> Search:
        """The search with the mean as the model: 1 - 1/n stands on the diagonal of I - H and -1/n beside it."""
        count = len(self.values)
        numbers = np.arange(count)
        residuals = Residuals(
            self.values - self.values.mean(),
            np.full(count, 1 - 1 / count),
            count - 1,
            lambda i: np.where(numbers == i, 1.0, 0.0) - 1 / count,
        )
        return generalized_esd(residuals, most=10)

    def as_rosner(self, of: Callable[[Step], float]) -> list[float]:
        """Return a figure of each step on Rosner's scale, |x - mean| / s.

        Of n values, a studentized deleted residual t has n - 2 degrees of freedom, and
        R = t (n - 1) / root((n - 2 + t²) n).
        """
        counts = len(self.values) - np.arange(len(self.search.steps))
        t = np.array([of(step) for step in self.search.steps])
        return list(t * (counts - 1) / np.sqrt((counts - 2 + t**2) * counts))


def checks() -> tuple[Check, ...]:
    """Return the checks of this topic."""
    sample = _Sample()
    one = partial(Check, _TOPIC, source=_SOURCE, mark="recomputed", function="solver.esd.generalized_esd")

    def steps(heading: str) -> dict[str, float]:
        return {f"step {i}": float(value) for i, value in enumerate(column("rosner_gesd", heading), start=1)}

    return (
        one(
            "values removed, in order",
            expected=steps("x_removed"),
            tolerance=0,
            obtain=lambda: [sample.values[step.cell] for step in sample.search.steps],
        ),
        one(
            "statistic R",
            expected=steps("R_i"),
            tolerance=5e-7,
            obtain=lambda: sample.as_rosner(lambda step: step.statistic),
        ),
        one(
            "critical value, 5 %",
            expected=steps("lambda_i_5pct"),
            tolerance=5e-7,
            obtain=lambda: sample.as_rosner(lambda step: step.critical),
        ),
        one(
            "the three outliers",
            expected={"first": 5.34, "second": 5.42, "third": 6.01},
            tolerance=0,
            obtain=lambda: sorted(sample.values[each.suspect.cell] for each in sample.search.guilty),
        ),
    )
