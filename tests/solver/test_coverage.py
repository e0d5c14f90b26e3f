"""The stated 95.45 % hold 95.45 % of the time: the small version of the benchmark of the same name."""

from __future__ import annotations

import numpy as np
import pytest

from solver.budget import Line, combine
from solver.effects import Effect, Results
from tests.solver.lines import LINES, rectangular
from tests.solver.simulate import BENCHES, coverage


@pytest.mark.parametrize("name", BENCHES)
def test_coverage(name: str) -> None:
    """300 sessions each, seeded; with so few one result in a session alone would scatter by 1.2 %."""
    assert coverage(BENCHES[name], 300, 1) == pytest.approx(0.9545, abs=0.02)


@pytest.mark.parametrize("name", ["partial", "interval"])
def test_coverage_with_lines(name: str) -> None:
    """With rectangular and U-shaped lines beside the scatter: never less than stated."""
    bench = BENCHES[name]
    assert 0.9345 <= coverage(bench, 200, 2, LINES, rectangular(bench.closure.positions)) <= 0.995


def test_against_monte_carlo() -> None:
    """Against a Monte Carlo after JCGM 101 (7.5 to 7.7: memory), 10⁶ trials, of one result with four components.

    Type A as a scaled t of 14 degrees of freedom, three rectangular lines, none of them ruling: the expanded
    uncertainty is the half-width of the symmetric 95.45 % interval within half of its second digit (JCGM 101, 8.1).
    """
    rng = np.random.default_rng(101)
    results = Results("lower", 4, np.array([1]), np.array([0]), np.array([2.0]), np.array([0.5]))
    lines = (
        Line("scale", half_width=0.05, effect=Effect("proportional")),
        Line("flatness", half_width=0.06, effect=Effect("position")),
        Line("ramp", half_width=0.3, effect=Effect("ramp")),
    )
    stated = combine(results, 0.15, 14, lines, 0.9545)
    trials = 1_000_000
    flatness = rng.uniform(-0.06, 0.06, (2, trials))
    error = 0.5 * 0.15 * rng.standard_t(14, trials) + 2.0 * rng.uniform(-0.05, 0.05, trials)
    error += flatness[1] - flatness[0] + rng.uniform(-0.3, 0.3, trials) / 4
    half_width = float(np.quantile(np.abs(error), 0.9545))
    expanded = float(stated.expanded[0])
    assert 0.19 < expanded < 0.32
    assert expanded == pytest.approx(half_width, abs=0.005)


def test_one_rectangular_line_that_rules_is_safe() -> None:
    """U = 2 a/root 3, while a rectangular distribution holds 95.45 % within 0.9545 a (JCGM 100, G.6.5: memory)."""
    results = Results("lower", 4, np.array([1]), np.array([0]), np.array([1.0]), np.array([1e-9]))
    stated = combine(results, 1.0, 9, (Line("scale", half_width=1.0, effect=Effect("proportional")),), 0.9545)
    assert float(stated.expanded[0]) == pytest.approx(2 / np.sqrt(3), rel=1e-4)
    assert float(stated.expanded[0]) > 0.9545


def test_four_rectangular_components() -> None:
    """JCGM 101, 9.2.3 (memory): four rectangular inputs of unit variance, U 3.92 by the GUM and 3.88 by Monte Carlo."""
    results = Results("lower", 4, np.array([0]), np.array([1]), np.array([1.0]), np.array([0.0]))
    one = Line("", half_width=np.sqrt(3), effect=Effect("proportional"))
    stated = combine(results, 1.0, 9, (one,) * 4, 0.95)
    assert float(stated.expanded[0]) == pytest.approx(3.92, abs=0.005)
    draws = np.random.default_rng(102).uniform(-np.sqrt(3), np.sqrt(3), (4, 1_000_000)).sum(axis=0)
    assert float(np.quantile(np.abs(draws), 0.95)) == pytest.approx(3.88, abs=0.01)
