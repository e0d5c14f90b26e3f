"""Three sessions and more: agreement and drift."""

from __future__ import annotations

import numpy as np
import pytest

from solver.closure import Floats
from solver.comparison import Measured, change
from solver.history import agreement, drift
from tests.solver.test_comparison import COMPLETE, Bench, uniform


def welch(samples: list[Floats]) -> tuple[float, float]:
    """Welch's test of equal means (1951), written out as he gives it: F and its denominator's freedom."""
    k = len(samples)
    weight = np.array([len(sample) / sample.var(ddof=1) for sample in samples])
    mean = np.array([sample.mean() for sample in samples])
    common = np.sum(weight * mean) / weight.sum()
    lack = np.sum((1 - weight / weight.sum()) ** 2 / np.array([len(sample) - 1 for sample in samples]))
    above = np.sum(weight * (mean - common) ** 2) / (k - 1)
    return above / (1 + 2 * (k - 2) / (k**2 - 1) * lack), (k**2 - 1) / (3 * lack)


def one_difference(sample: Floats) -> Measured:
    """The mean of a sample as the errors x and -x of two positions."""
    matrix = np.array([[1.0, -1.0], [-1.0, 1.0]]) / len(sample)
    mean = sample.mean()
    return Measured(np.array([mean, -mean]), matrix, float(sample.std(ddof=1)), len(sample) - 1.0)


def test_two_positions_are_welchs_test_of_several_means() -> None:
    generator = np.random.default_rng(4)
    samples = [generator.normal(0, sd, count) for sd, count in ((1, 6), (3, 9), (2, 5), (0.5, 7))]
    found = agreement(tuple(one_difference(sample) for sample in samples))
    f, freedom = welch(samples)
    assert found.rank == 3
    assert found.f == pytest.approx(f, rel=1e-9)
    assert found.freedom == pytest.approx(freedom, rel=1e-9)


def test_two_sessions_agree_as_their_difference_says() -> None:
    generator = np.random.default_rng(6)
    old, new = Bench((0, 1, 4), 0.05).measure(generator), Bench(COMPLETE, 0.08).measure(generator)
    both, pair = agreement((old, new)), change(old, new).whole
    line = drift((old, new), np.array([2024.0, 2026.0]))
    for test in (both, line.whole):
        assert test.chi_squared == pytest.approx(pair.chi_squared, rel=1e-8)
        assert test.p_value == pytest.approx(pair.p_value, rel=1e-6)
    assert line.rest is None
    found = change(old, new)
    assert line.per_year == pytest.approx(found.difference / 2)
    assert line.standard == pytest.approx(found.standard / 2)
    assert line.expanded == pytest.approx(found.expanded / 2)


def test_p_values_of_an_unchanged_circle_are_uniform() -> None:
    benches = [Bench((0, 1, 4), 0.05), Bench((0, 1, 4), 0.08), Bench((0, 1, 3, 7), 0.05)]
    generator = np.random.default_rng(12)
    series = [tuple(bench.measure(generator) for bench in benches) for _ in range(600)]
    uniform([agreement(each).p_value for each in series])
    lines = [drift(each, np.array([0.0, 1.0, 3.0])) for each in series]
    uniform([line.whole.p_value for line in lines])
    uniform([line.rest.p_value for line in lines if line.rest is not None])
    # The stated 95.45 % intervals hold the true drift, which is none.
    held = np.mean([np.abs(line.per_year) <= line.expanded for line in lines])
    assert held == pytest.approx(0.9545, abs=0.01)


def test_a_drift_is_found_and_straight() -> None:
    generator = np.random.default_rng(13)
    bench = Bench((0, 1, 3, 7), 0.05)
    wear = np.zeros(12)
    wear[3] = 0.1
    wear -= wear.mean()
    years = np.array([2021.5, 2023.0, 2024.2, 2026.0])
    series = []
    for year in years:
        one = bench.measure(generator)
        series.append(Measured(one.error + wear * (year - 2021.5), one.cofactor, one.deviation, one.freedom))
    line = drift(tuple(series), years)
    assert np.abs(line.per_year - wear) == pytest.approx(0, abs=3 * float(line.standard.max()))
    assert line.whole.p_value < 1e-6
    assert line.rest is not None
    assert line.rest.p_value > 0.01
    assert line.rest.rank == 22


def test_a_session_without_uncertainty_leaves_all_undetermined() -> None:
    generator = np.random.default_rng(14)
    bench = Bench((0, 1, 4), 0.05)
    one, two = bench.measure(generator), bench.measure(generator)
    bare = Measured(two.error, two.cofactor, np.nan, np.nan)
    assert np.isnan(agreement((one, bare, two)).p_value)
    line = drift((one, bare, two), np.array([0.0, 1.0, 2.0]))
    assert np.isnan(line.per_year).all()
    assert np.isnan(line.whole.p_value)
    assert line.rest is not None
    assert np.isnan(line.rest.chi_squared)
