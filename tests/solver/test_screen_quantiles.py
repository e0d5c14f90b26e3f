"""Quantiles and tails against scipy.stats (recomputed)."""

from __future__ import annotations

import subprocess
import sys

import numpy as np
import pytest
from scipy import stats

from solver.quantile import fisher, normal, student, student_tail, studentized_range, studentized_range_tail

LEVELS = np.array([0.4, 0.05, 0.01, 1e-4, 1e-7])


def test_normal() -> None:
    np.testing.assert_allclose(normal(LEVELS), stats.norm.isf(LEVELS), rtol=1e-12)


@pytest.mark.parametrize("freedom", [1, 2.5, 14, 122, np.inf])
def test_student(freedom: float) -> None:
    reference = stats.t(freedom) if np.isfinite(freedom) else stats.norm
    values = student(LEVELS, freedom)
    np.testing.assert_allclose(values, reference.isf(LEVELS), rtol=1e-8)
    np.testing.assert_allclose(student_tail(values, freedom), LEVELS, rtol=1e-8)


def test_student_takes_freedoms_side_by_side() -> None:
    both = student(0.01, [5, np.inf])
    np.testing.assert_allclose(both, [stats.t(5).isf(0.01), stats.norm.isf(0.01)], rtol=1e-10)


def test_fisher_with_a_known_variance_above_or_below() -> None:
    np.testing.assert_allclose(fisher(LEVELS, 7, np.inf), stats.chi2(7).isf(LEVELS) / 7, rtol=1e-9)
    np.testing.assert_allclose(fisher(LEVELS, np.inf, 7), 7 / stats.chi2(7).ppf(LEVELS), rtol=1e-9)


@pytest.mark.parametrize("count", [3, 5, 20])
@pytest.mark.parametrize("freedom", [2, 9, 60])
def test_studentized_range(count: int, freedom: int) -> None:
    for level in (0.3, 0.05, 1e-4):
        value = studentized_range(level, count, freedom)
        assert stats.studentized_range.sf(value, count, freedom) == pytest.approx(level, rel=1e-6)


def test_studentized_range_of_two_is_student() -> None:
    assert studentized_range(0.05, 2, 9) == pytest.approx(np.sqrt(2) * stats.t(9).isf(0.025), rel=1e-10)
    assert studentized_range_tail(studentized_range(0.05, 2, 9), 2, 9) == pytest.approx(0.05, rel=1e-6)


def test_studentized_range_with_known_scatter_by_simulation() -> None:
    values = np.random.default_rng(1).normal(size=(200_000, 4))
    rate = np.mean(np.ptp(values, axis=1) > studentized_range(0.05, 4))
    assert rate == pytest.approx(0.05, abs=0.002)


def test_no_range_is_exceeded_for_certain() -> None:
    assert studentized_range_tail(0.0, 5, 10) == 1.0


def test_screening_does_not_import_scipy_before_it_is_used() -> None:
    code = "import sys, solver.screen; sys.exit(any(name.startswith('scipy') for name in sys.modules))"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
