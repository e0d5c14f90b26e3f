"""Worked examples of the GUM (JCGM 100) and its supplement JCGM 101."""

from __future__ import annotations

from functools import partial
from math import sqrt

import numpy as np

from sessions.selfcheck.check import Check
from sessions.selfcheck.tables import column
from solver.budget import Line, Uncertainty, combine
from solver.control_chart import pool
from solver.coverage import freedom_of_judgement
from solver.effects import Effect, Results
from solver.model_tests import VarianceRatio, variance_ratio
from solver.seating import Seating, seating

_TOPIC = "Worked examples of the GUM"
_COMBINED = "solver.budget.combine"


def checks() -> tuple[Check, ...]:
    """Return the checks of this topic."""
    return (*_judgement(), *_g4(), *_h1(), *_h5(), _rectangular())


def _result() -> Results:
    """Return a difference of two positions of 1″, which takes every component once and has no scatter."""
    return Results("lower", 4, np.array([1]), np.array([0]), np.array([1.0]), np.array([0.0]))


def _combined(components: tuple[float, ...], freedom: tuple[float, ...], probability: float) -> Uncertainty:
    """Combine the components as lines of a budget, with no scatter of readings."""
    lines = [
        Line("", standard_uncertainty=size, degrees_of_freedom=degrees, effect=Effect("proportional"))
        for size, degrees in zip(components, freedom, strict=True)
    ]
    return combine(_result(), 0.0, np.inf, lines, probability)


def _judgement() -> tuple[Check, ...]:
    return (
        Check(
            _TOPIC,
            "G.4.2, freedom of a judgement",
            "JCGM 100, G.4.2, example to equation (G.3): a standard uncertainty known to 25 %",
            "memory",
            "solver.coverage.freedom_of_judgement",
            {"": 8},
            1e-12,
            lambda: freedom_of_judgement(0.25),
        ),
    )


def _g4() -> tuple[Check, ...]:
    parts, freedom = (0.25, 0.57, 0.82), (9.0, 4.0, 14.0)
    one = partial(
        Check, _TOPIC, source="JCGM 100, G.4.1, example; inputs read", mark="recomputed", function=_COMBINED
    )
    return (
        one(
            "G.4, combined uncertainty",
            expected={"": 1.0294659},
            tolerance=5e-8,
            obtain=lambda: _combined(parts, freedom, 0.95).standard,
            unit="%",
        ),
        one(
            "G.4, effective freedom",
            expected={"": 18.9987},
            tolerance=5e-5,
            obtain=lambda: _combined(parts, freedom, 0.95).freedom,
            note="printed rounded, as 19",
        ),
        Check(
            _TOPIC,
            "G.4, t at 95 %",
            "JCGM 100, G.4.1, example; printed for 19 degrees of freedom",
            "read",
            _COMBINED,
            {"": 2.09},
            5e-3,
            lambda: _combined(parts, freedom, 0.95).factor,
        ),
    )


def _h1() -> tuple[Check, ...]:
    parts, freedom = (25.0, 9.681942, 2.886787, 16.599027), (18.0, 25.447, 50.0, 2.0)
    one = partial(
        Check, _TOPIC, source="JCGM 100, H.1, end gauge; inputs read", mark="recomputed", function=_COMBINED
    )
    return (
        one(
            "H.1, combined uncertainty",
            expected={"": 31.663879},
            tolerance=5e-7,
            obtain=lambda: _combined(parts, freedom, 0.99).standard,
            unit="nm",
            note="printed rounded, as 32",
        ),
        one(
            "H.1, effective freedom",
            expected={"": 16.7519},
            tolerance=5e-5,
            obtain=lambda: _combined(parts, freedom, 0.99).freedom,
            note="printed cut, as 16",
        ),
        one(
            "H.1, expanded uncertainty",
            expected={"": 92.48},
            tolerance=5e-3,
            obtain=lambda: _combined((1.0,), (16.0,), 0.99).factor * _combined(parts, freedom, 0.99).standard,
            unit="nm",
            note="with t for 16 degrees of freedom; printed from rounded values, as 93",
        ),
        Check(
            _TOPIC,
            "H.1, t at 99 %",
            "JCGM 100, H.1, end gauge; printed for 16 degrees of freedom",
            "read",
            _COMBINED,
            {"": 2.92},
            5e-3,
            lambda: _combined((1.0,), (16.0,), 0.99).factor,
        ),
    )


def _h5() -> tuple[Check, ...]:
    means, within, count = (column("gum_h5_zener", heading) for heading in ("mean_V", "s_uV", "n"))

    def between() -> Seating:
        return seating(means * 1e6)

    def pooled() -> tuple[float, float]:
        return pool(within, count - 1)

    def tested() -> VarianceRatio:
        # The variance of means of five against a fifth of the variance within a day.
        days, day = between(), pooled()
        return variance_ratio(days.standard_deviation**2, days.degrees_of_freedom, day[0] ** 2 / 5, day[1])

    read = partial(
        Check, _TOPIC, source="JCGM 100, H.5, ten days of five readings; printed", mark="read", unit="µV"
    )
    made = partial(
        Check, _TOPIC, source="JCGM 100, H.5, ten days of five readings; data read", mark="recomputed"
    )
    return (
        read(
            "H.5, s of the daily means",
            function="solver.seating.seating",
            expected={"": 57},
            tolerance=0.5,
            obtain=lambda: between().standard_deviation,
        ),
        read(
            "H.5, pooled s within days",
            function="solver.control_chart.pool",
            expected={"": 85},
            tolerance=0.5,
            obtain=lambda: pooled()[0],
        ),
        made(
            "H.5, F",
            function="solver.model_tests.variance_ratio",
            expected={"": 2.26},
            tolerance=5e-3,
            obtain=lambda: tested().ratio,
            note="printed as 2.25 from rounded values",
        ),
        made(
            "H.5, probability of F",
            function="solver.model_tests.variance_ratio",
            expected={"": 0.037397},
            tolerance=5e-7,
            obtain=lambda: tested().probability,
            note="by chance; recomputed with scipy.stats",
        ),
        made(
            "H.5, s between days",
            function="solver.seating.seating, solver.control_chart.pool",
            expected={"": 43},
            tolerance=0.5,
            obtain=lambda: sqrt(between().standard_deviation ** 2 - pooled()[0] ** 2 / 5),
            unit="µV",
        ),
        made(
            "H.5, u of the mean",
            function="solver.seating.seating",
            expected={"": 18},
            tolerance=0.5,
            obtain=lambda: between().standard_deviation / sqrt(10),
            unit="µV",
        ),
    )


def _rectangular() -> Check:
    one = Line("", half_width=sqrt(3), effect=Effect("proportional"))
    return Check(
        _TOPIC,
        "four rectangular inputs, U 95 %",
        "JCGM 101, 9.2.3: inputs of unit variance, by the propagation of uncertainty",
        "memory",
        _COMBINED,
        {"": 3.92},
        5e-3,
        lambda: combine(_result(), 0.0, np.inf, (one,) * 4, 0.95).expanded,
    )
