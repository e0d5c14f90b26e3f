"""Standard deviations side by side, against scipy.stats and a published analysis of variance."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest
from scipy import stats

from solver.control_chart import chart, homogeneity, pool

SAMPLES = [
    np.random.default_rng(seed).normal(0, sd, n) for seed, sd, n in ((1, 1, 8), (2, 1.3, 12), (3, 0.8, 5))
]
DEVIATION = np.array([sample.std(ddof=1) for sample in SAMPLES])
FREEDOM = np.array([len(sample) - 1.0 for sample in SAMPLES])


def test_pooled_standard_deviation_of_gum_h5() -> None:
    """GUM H.5: ten days of five readings, pooled s 85 µV on 40 degrees of freedom (read)."""
    with (Path(__file__).parents[1] / "published" / "gum_h5_zener.csv").open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    deviation = np.array([float(row["s_uV"]) for row in rows])
    freedom = np.array([float(row["n"]) - 1 for row in rows])
    pooled, total = pool(deviation, freedom)
    assert total == 40
    assert round(pooled) == 85


def test_bartlett() -> None:
    expected = stats.bartlett(*SAMPLES)
    found = homogeneity(DEVIATION, FREEDOM)
    assert found is not None
    assert found.test == "Bartlett"
    assert found.statistic == pytest.approx(expected.statistic, rel=1e-9)
    assert found.p_value == pytest.approx(expected.pvalue, rel=1e-9)


@pytest.mark.parametrize("order", [[0, 1], [1, 0]])
def test_two_are_compared_by_f_two_sided(order: list[int]) -> None:
    found = homogeneity(DEVIATION[order], FREEDOM[order])
    assert found is not None
    assert found.test == "F"
    assert found.freedom == (11, 7)
    ratio = (DEVIATION[1] / DEVIATION[0]) ** 2
    assert found.statistic == pytest.approx(ratio)
    assert found.p_value == pytest.approx(2 * stats.f.sf(ratio, 11, 7), rel=1e-9)


def test_limits_are_quantiles_of_f() -> None:
    found = chart(DEVIATION, FREEDOM)
    others = np.sqrt(
        (FREEDOM[1] * DEVIATION[1] ** 2 + FREEDOM[2] * DEVIATION[2] ** 2) / (FREEDOM[1] + FREEDOM[2])
    )
    assert found.others[0] == pytest.approx(others)
    assert found.others_freedom.tolist() == [15, 11, 18]
    assert found.upper[0] == pytest.approx(others * np.sqrt(stats.f.ppf(0.975, 7, 15)), rel=1e-9)
    assert found.lower[0] == pytest.approx(others * np.sqrt(stats.f.ppf(0.025, 7, 15)), rel=1e-9)
    assert found.outside == ()


def test_a_bad_session_is_outside() -> None:
    found = chart(np.array([0.05, 0.05, 0.12, 0.05]), np.full(4, 14.0))
    assert found.outside == (2,)
    same = homogeneity(np.array([0.05, 0.05, 0.12, 0.05]), np.full(4, 14.0))
    assert same is not None
    assert same.p_value < 0.01


def test_with_nothing_to_compare_nothing_is_said() -> None:
    assert homogeneity(np.array([0.05]), np.array([14.0])) is None
    assert homogeneity(np.array([0.05, 0.0]), np.array([14.0, 14.0])) is None
    assert np.isnan(chart(np.array([0.05]), np.array([14.0])).upper).all()
    assert np.isnan(pool(np.array([]), np.array([]))[0])
    # All zero but one: its ratio cannot be formed, the others' can.
    found = chart(np.array([0.05, 0.0]), np.array([14.0, 14.0]))
    assert np.isnan(found.p_value[0])


def test_false_alarms_are_as_rare_as_said() -> None:
    generator = np.random.default_rng(21)
    freedom = np.array([6.0, 14.0, 110.0])
    alarms = [
        len(chart(0.05 * np.sqrt(generator.chisquare(freedom) / freedom), freedom).outside)
        for _ in range(3000)
    ]
    assert np.mean(alarms) / 3 == pytest.approx(0.05, abs=0.008)
