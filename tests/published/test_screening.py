"""Outlier tests against published tables and examples; sources and marks as in the list of published values."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest

from solver.deleted import Residuals
from solver.esd import generalized_esd
from solver.repeats import cochran_critical, critical_range_factor, grubbs, grubbs_critical
from solver.suspects import Search

HERE = Path(__file__).parent


def table(name: str) -> list[dict[str, str]]:
    with (HERE / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_grubbs_critical_values() -> None:
    """Two table copies, read, within 0.001 of the t quantile; as ISO 5725-2 table 5: memory."""
    lines = table("grubbs_critical.csv")
    assert len(lines) == 18
    for line in lines:
        for level, column in ((0.05, "two_sided_5pct"), (0.01, "two_sided_1pct")):
            assert grubbs_critical(int(line["n"]), level) == pytest.approx(float(line[column]), abs=0.001)


def test_grubbs_eight_masses() -> None:
    """NIST/SEMATECH e-Handbook 1.3.5.17.1, read in copies, recomputed."""
    values = [float(line["x"]) for line in table("grubbs_uranium_8.csv")]
    statistic, index = grubbs(values)
    assert statistic == pytest.approx(2.4687646, abs=5e-8)
    assert values[index] == 245.57
    assert grubbs_critical(8, two_sided=False) == pytest.approx(2.0316520, abs=5e-8)


def test_cochran_critical_values() -> None:
    """Table copies, read, within 0.0006 of the F quantile; as ISO 5725-2 table 4: memory."""
    lines = table("cochran_critical.csv")
    checked = 0
    for line in lines:
        for level, column in ((0.05, "critical_5pct"), (0.01, "critical_1pct")):
            if line[column]:
                found = cochran_critical(int(line["groups"]), int(line["replicates"]), level)
                assert found == pytest.approx(float(line[column]), abs=0.0006)
                checked += 1
    assert checked == 120


def test_critical_range_factors() -> None:
    """ISO 5725-6, memory; every value recomputed from the studentized range."""
    lines = table("critical_range_factor.csv")
    assert len(lines) == 9
    for line in lines:
        assert critical_range_factor(int(line["n"])) == pytest.approx(float(line["factor"]), abs=0.05)


def search_of(values: np.ndarray, most: int) -> Search:
    """Search a plain sample: the model is its mean, so I - H has 1 - 1/n on the diagonal and -1/n beside it."""
    count = len(values)
    residuals = Residuals(
        values - values.mean(),
        np.full(count, 1 - 1 / count),
        count - 1,
        lambda i: np.where(np.arange(count) == i, 1.0, 0.0) - 1 / count,
    )
    return generalized_esd(residuals, most=most)


def test_rosner_54() -> None:
    """Rosner (1983), Technometrics 25, 165-172: R and lambda, and three outliers; five pairs read, all recomputed."""
    values = np.array([float(line["x"]) for line in table("rosner_54.csv")])
    search = search_of(values, 10)
    lines = table("rosner_gesd.csv")
    assert len(search.steps) == len(lines) == 10
    for number, (step, line) in enumerate(zip(search.steps, lines, strict=True)):
        count = len(values) - number
        # From the externally studentized residual with n - 2 degrees of freedom to Rosner's |x - mean| / s.
        freedom = count - 2

        def rosner(t: float, freedom: int = freedom, count: int = count) -> float:
            return t * (count - 1) / np.sqrt((freedom + t**2) * count)

        assert values[step.cell] == float(line["x_removed"])
        assert rosner(step.statistic) == pytest.approx(float(line["R_i"]), abs=5e-7)
        assert rosner(step.critical) == pytest.approx(float(line["lambda_i_5pct"]), abs=5e-7)
    assert sorted(values[each.suspect.cell] for each in search.guilty) == [5.34, 5.42, 6.01]
