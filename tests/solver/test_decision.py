"""Conforms, does not conform, not decided, and by how much."""

from __future__ import annotations

import numpy as np
import pytest

from solver.decision import Decision, Verdict, decide, probability_outside

NAN = np.nan


def decided(value: list[float], guard: list[float], tolerance: float = 1.0) -> Decision:
    v, g = np.array(value), np.array(guard)
    return decide(v, g, tolerance, g / 2, np.full(len(v), np.inf))


def test_conforms_by_the_smallest_margin() -> None:
    found = decided([0.1, -0.7, 0.6], [0.1, 0.1, 0.3])
    assert found.verdict is Verdict.CONFORMS
    assert (found.position, found.value, found.guard) == (2, 0.6, 0.3)
    assert found.margin == pytest.approx(0.1)
    assert 0 < found.risk < 0.0228


def test_not_decided_where_the_guard_band_is_touched() -> None:
    found = decided([0.1, -0.95], [0.1, 0.1])
    assert found.verdict is Verdict.OPEN
    assert found.position == 1
    assert found.margin == pytest.approx(-0.05)
    assert np.isnan(found.risk)


def test_outside_but_within_doubt_is_not_decided() -> None:
    assert decided([1.05], [0.1]).verdict is Verdict.OPEN


def test_fails_at_the_farthest_beyond_doubt() -> None:
    found = decided([1.2, -1.4, 0.2], [0.1, 0.5, 0.1])
    assert found.verdict is Verdict.FAILS
    assert found.position == 0
    assert found.margin == pytest.approx(-0.1)
    assert found.risk < 0.0228


def test_undetermined_leaves_it_open_unless_one_fails() -> None:
    open_ = decided([0.1, NAN], [0.1, NAN])
    assert open_.verdict is Verdict.OPEN
    assert open_.undetermined == 1
    assert decided([1.5, NAN], [0.1, NAN]).verdict is Verdict.FAILS
    nothing = decided([NAN, NAN], [NAN, NAN])
    assert nothing.verdict is Verdict.OPEN
    assert nothing.position == -1
    no_uncertainty = decided([0.1, 0.2], [NAN, NAN])
    assert no_uncertainty.verdict is Verdict.OPEN


def test_certain_value() -> None:
    """Position 0 from itself: 0 with uncertainty 0."""
    found = decide(np.array([0.0, 0.5]), np.array([0, 0.2]), 1.0, np.array([0, 0.1]), np.array([NAN, 10]))
    assert found.verdict is Verdict.CONFORMS
    assert found.position == 1
    assert float(probability_outside(0.0, 1.0, 0.0)) == 0
    assert float(probability_outside(1.5, 1.0, 0.0)) == 1


def test_probability_with_few_degrees_of_freedom() -> None:
    """Against 10⁶ draws of value + u · t (JCGM 101, 6.4.9: memory), seeded."""
    draws = 0.6 + 0.3 * np.random.default_rng(3).standard_t(4, 1_000_000)
    expected = np.mean(np.abs(draws) > 1)
    assert float(probability_outside(0.6, 1.0, 0.3, 4)) == pytest.approx(expected, abs=0.002)
