"""The fixed angle of a single closure with the lines of a budget: derived in `solver.fixed_angle`, simulated here.

No source outside: the formulas follow from the reading p (b[t] - x) and closure (`solver.closure`).
"""

from __future__ import annotations

import numpy as np
import pytest

from solver.adjust import adjust
from solver.budget import Line
from solver.cells import Cells
from solver.closure import Closure, Floats
from solver.effects import Effect
from solver.fixed_angle import fixed_angle

N, RUNS, X = 6, 3, 5.0
STEP = np.arange(1, N + 1)


def deviations(readings: Floats) -> tuple[Floats, Floats]:
    """x and standard deviation of a cell of many sessions at once, readings (sessions, runs, steps), polarity +1.

    The interval means are the adjusted intervals less x: closure makes x of their mean.
    """
    interval = readings.mean(axis=1, keepdims=True)
    squares = ((readings - interval) ** 2).sum(axis=(1, 2))
    return -interval.mean(axis=(1, 2)), np.sqrt(squares / (N * (RUNS - 1)))


def sessions(count: int, seed: int, sd: float = 0.04) -> tuple[Floats, np.random.Generator]:
    """Readings of intervals against the fixed angle, with noise alone."""
    rng = np.random.default_rng(seed)
    circle = rng.normal(0, 0.3, N)
    interval = np.roll(circle, -1) - circle
    return interval - X + rng.normal(0, sd, (count, RUNS, N)), rng


def test_the_simulation_solves_as_the_adjustment_does() -> None:
    readings, _ = sessions(1, 3)
    run, step = np.repeat(np.arange(RUNS), N), np.tile(STEP, RUNS)
    cells = Cells(run, step, readings[0].ravel(), np.ones(18, dtype=int), np.zeros(18), np.zeros(RUNS))
    closure = Closure(N, "single", "interval")
    found = adjust(closure, np.zeros(RUNS, dtype=int), cells, run)
    x, deviation = deviations(readings)
    assert found.reference.value[0] == pytest.approx(x[0])
    assert found.standard_deviation == pytest.approx(deviation[0])
    assert found.reference.root[0] == pytest.approx(1 / np.sqrt(N * RUNS))


def covered(readings: Floats, lines: tuple[Line, ...]) -> float:
    """Share of the sessions whose interval holds the true X."""
    x, deviation = deviations(readings)
    root, inside = np.array([1 / np.sqrt(N * RUNS)]), 0
    for value, sd in zip(x, deviation, strict=True):
        u = fixed_angle(np.array([value]), root, N, float(sd), N * (RUNS - 1), lines, 0.9545)
        inside += abs(value - X) <= u.expanded[0]
    return inside / len(x)


def test_the_stated_interval_holds_the_true_angle() -> None:
    """1,000 sessions: the share of intervals that hold scatters by 0.7 %. Every kind of line at work at once."""
    readings, rng = sessions(1000, 7)
    count = len(readings)

    def one() -> Floats:
        return np.asarray(rng.normal(0, 1, (count, 1, 1)))

    phase = rng.uniform(0, 2 * np.pi, (count, 1, 1))
    wave = np.sin(2 * np.pi * 2 * np.arange(N + 1) / N + phase)
    shape = np.array([0.0, 3, -1, 2, 0, 1, 0])
    lines = (
        Line("scale", standard_uncertainty=0.003, effect=Effect("proportional")),
        Line("zero", standard_uncertainty=0.012, effect=Effect("constant")),
        Line("linearity", standard_uncertainty=0.01, effect=Effect("position")),
        Line("drift", standard_uncertainty=0.06, effect=Effect("ramp")),
        Line("seating", standard_uncertainty=0.03, effect=Effect("cell")),
        Line("axes", standard_uncertainty=0.5, effect=Effect("harmonic", order=2)),
        Line("mirror", standard_uncertainty=0.4, effect=Effect("shape", shape=tuple(shape[:N]))),
        Line("other circle", standard_uncertainty=9.0, effect=Effect("constant", "upper")),
    )
    readings = readings * (1 + 0.003 * one()) + 0.012 * one() + 0.01 * one() + 0.06 * one() / N
    readings += rng.normal(0, 0.03, (count, 1, N)) / np.sqrt(RUNS)
    readings += 0.5 * np.sqrt(2) * np.diff(wave, axis=2) + 0.4 * one() * np.diff(shape)
    # The seating enters once for all runs here, so that the scatter of the readings does not hold it already.
    assert covered(readings, lines) == pytest.approx(0.9545, abs=0.02)
    assert covered(readings, ()) < 0.8


@pytest.mark.parametrize("shared", ["circle", "readings", "independent"])
def test_a_line_that_differs_from_position_to_position_is_on_the_safe_side(shared: str) -> None:
    readings, rng = sessions(300, 8)
    count = len(readings)
    if shared == "readings":
        readings = readings + rng.normal(0, 0.05, (count, 1, 1))
    elif shared == "circle":
        place = rng.normal(0, 0.05, (count, 1, N))
        readings = readings + np.roll(place, -1, axis=2) - place
    else:
        readings = readings + rng.normal(0, 0.05, (count, 1, N))
    line = (Line("linearity", standard_uncertainty=0.05, effect=Effect("position")),)
    found = covered(readings, line)
    assert found >= 0.93
    assert (found < 0.99) == (shared == "readings")


def test_type_a_alone_and_what_is_not_determined() -> None:
    found = fixed_angle(np.array([X]), np.array([0.5]), N, 0.04, np.inf, (), 0.9545)
    assert found.standard[0] == pytest.approx(0.02)
    assert found.expanded[0] == pytest.approx(0.04, rel=1e-4)
    nothing = fixed_angle(np.array([np.nan]), np.array([np.nan]), N, 0.04, np.inf, (), 0.9545)
    assert np.isnan(nothing.expanded[0])


@pytest.mark.parametrize(
    ("kind", "shared"),
    [("ramp", np.full(N, 1 / N)), ("constant", np.ones(N)), ("proportional", None), ("shape", "turn")],
)
def test_what_one_unit_of_a_source_does_to_readings_without_noise(kind: str, shared: object) -> None:
    """A source of 1 put into the readings moves x by its standard uncertainty."""
    readings, _ = sessions(1, 1, sd=0.0)
    if shared is None:
        wrong = readings * 2
    elif isinstance(shared, str):
        figure = np.random.default_rng(2).normal(size=N)
        wrong = readings + np.roll(figure, -1) - figure
    else:
        wrong = readings + shared
    moved = abs(deviations(wrong)[0][0] - deviations(readings)[0][0])
    line = Line("source", standard_uncertainty=1.0, effect=Effect(kind))  # type: ignore[arg-type]
    found = fixed_angle(np.array([X]), np.array([0.0]), N, 0.0, np.inf, (line,), 0.9545)
    assert found.standard[0] == pytest.approx(moved, abs=1e-12)
