"""Lines combined into one uncertainty."""

from __future__ import annotations

import numpy as np
import pytest

from solver.budget import Line, combine
from solver.coverage import coverage_factor, effective_freedom
from solver.effects import Effect, Results

INF = np.inf
ONE = Results("lower", 4, np.array([0, 1]), None, np.array([0.5, -2.0]), np.array([0.3, 0.3]))


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        (Line("", distribution="rectangular", half_width=0.3), 0.3 / np.sqrt(3)),
        (Line("", distribution="triangular", half_width=0.3), 0.3 / np.sqrt(6)),
        (Line("", distribution="U-shaped", half_width=0.3), 0.3 / np.sqrt(2)),
        (Line("", distribution="normal", half_width=0.3), 0.15),
        (Line("", standard_uncertainty=0.3), 0.3),
        (Line("", standard_uncertainty=0.3, sensitivity=-2.0), 0.6),
    ],
)
def test_standard_uncertainty(line: Line, expected: float) -> None:
    """Divisors: JCGM 100, 4.3.7 and 4.3.9, and JCGM 101, 6.4.6 (memory)."""
    assert line.uncertainty == pytest.approx(expected, rel=1e-14)


@pytest.mark.parametrize(
    ("distribution", "draw"),
    [
        ("rectangular", lambda u: 2 * u - 1),
        ("triangular", lambda u: np.where(u < 0.5, np.sqrt(2 * u) - 1, 1 - np.sqrt(2 - 2 * u))),
        ("U-shaped", lambda u: np.sin(np.pi * (u - 0.5))),
    ],
)
def test_divisors_are_standard_deviations(distribution: str, draw: object) -> None:
    """Mean square over the quantiles of each distribution (recomputed)."""
    middle = (np.arange(200_000) + 0.5) / 200_000
    deviation = float(np.sqrt(np.mean(draw(middle) ** 2)))  # type: ignore[operator]
    assert Line("", distribution=distribution, half_width=1.0).uncertainty == pytest.approx(  # type: ignore[arg-type]
        deviation, rel=2e-5
    )


def test_type_a_alone() -> None:
    found = combine(ONE, 0.2, 9, (), 0.95)
    np.testing.assert_allclose(found.standard, 0.06)
    np.testing.assert_allclose(found.freedom, 9)
    np.testing.assert_allclose(found.factor, 2.262157, rtol=1e-6)  # Student's t, 95 %, 9: recomputed
    np.testing.assert_allclose(found.expanded, 0.06 * found.factor)
    np.testing.assert_allclose(found.shares, 1)


def test_lines_add_in_square_each_with_its_effect() -> None:
    lines = (
        Line("scale", standard_uncertainty=0.01, effect=Effect("proportional"), degrees_of_freedom=5),
        Line("place", half_width=0.05 * np.sqrt(3), effect=Effect("position")),
        Line("noise", standard_uncertainty=0.1, effect=Effect("cell"), relative_uncertainty=0.25),
    )
    found = combine(ONE, 0.2, 9, lines, 0.9545)
    scatter, place, noise = 0.06, 0.05 * np.sqrt(3 / 4), 0.03
    for at, scale in ((0, 0.005), (1, 0.02)):
        parts = np.array([scatter, scale, place, noise])
        assert found.standard[at] == pytest.approx(np.linalg.norm(parts), rel=1e-12)
        freedom = float(np.linalg.norm(parts) ** 4 / np.sum(parts**4 / np.array([9, 5, INF, 8])))
        assert found.freedom[at] == pytest.approx(freedom, rel=1e-12)
        assert found.factor[at] == pytest.approx(float(coverage_factor(freedom, 0.9545)), rel=1e-12)
        np.testing.assert_allclose(found.shares[:, at], parts**2 / np.sum(parts**2))
    np.testing.assert_allclose(found.shares.sum(axis=0), 1)


def test_what_does_not_enter() -> None:
    lines = (
        Line("not counted", standard_uncertainty=9.0, counted=False),
        Line("not assessed"),
        Line("of the other circle", standard_uncertainty=9.0, effect=Effect("position", "upper")),
        Line("the same everywhere", standard_uncertainty=9.0, effect=Effect("constant")),
    )
    np.testing.assert_array_equal(
        combine(ONE, 0.2, 9, lines, 0.95).expanded, combine(ONE, 0.2, 9, (), 0.95).expanded
    )


def test_known_scatter_has_the_factor_of_the_normal_distribution() -> None:
    found = combine(ONE, 0.2, INF, (), 0.9545)
    assert np.isinf(found.freedom).all()
    np.testing.assert_allclose(found.factor, 2.000, atol=5e-5)  # JCGM 100, table G.1: 2.000 (read)


def test_not_determined_and_certain() -> None:
    given = Results("lower", 3, np.arange(3), np.zeros(3, dtype=int), np.zeros(3), np.array([0, np.nan, 1]))
    lines = (Line("place", standard_uncertainty=1.0),)
    found = combine(given, 1.0, 4, lines, 0.95)
    assert found.expanded[0] == 0
    assert np.isnan(found.factor[0])
    for array in (found.standard, found.expanded, found.factor, found.freedom):
        assert np.isnan(array[1])
        assert np.isfinite(array[2]) or array is found.factor
    unknown = combine(given, np.nan, 0, lines, 0.95)
    assert np.isnan(unknown.expanded[1:]).all()
    assert unknown.expanded[0] == 0


def test_freedom_is_never_below_the_smallest_nor_above_the_sum() -> None:
    """A property of the formula (JCGM 100, G.4.1: memory)."""
    rng = np.random.default_rng(2)
    for _ in range(200):
        freedom = rng.integers(1, 40, 4)
        found = float(effective_freedom(rng.exponential(size=4), freedom))
        assert freedom.min() <= found * (1 + 1e-12)
        assert found <= freedom.sum() * (1 + 1e-12)


def test_small_uncertainties_lose_nothing() -> None:
    tiny = effective_freedom([1e-90, 2e-90], [3, 5])
    np.testing.assert_allclose(tiny, effective_freedom([1, 2], [3, 5]), rtol=1e-12)
