"""Worked examples and tables of the GUM (JCGM 100), sources and marks as in the project's list of published values."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest

from solver.coverage import coverage_factor, effective_freedom, freedom_of_judgement
from solver.model_tests import variance_ratio
from solver.quantile import fisher

HERE = Path(__file__).parent


def test_student_table_g2() -> None:
    """Table G.2, read as NIST TN 1297 table B.1; ν = 35 at 90 % is a misprint there (1.70 for 1.69)."""
    checked = 0
    with (HERE / "student_t_table_g2.csv").open(encoding="utf-8", newline="") as file:
        for line in csv.DictReader(file):
            freedom = np.inf if line["nu"] in ("inf", "infinity", "∞") else float(line["nu"])
            for column, printed in line.items():
                if column == "nu" or (freedom == 35 and column == "90_percent"):
                    continue
                probability = float(column.removesuffix("_percent")) / 100
                # The table's 68.27, 95.45 and 99.73 % are those of 1, 2 and 3 standard deviations, cut to four digits.
                assert float(coverage_factor(freedom, probability)) == pytest.approx(
                    float(printed), abs=0.0051 if freedom > 1 or probability < 0.9973 else 0.05
                )
                checked += 1
    assert checked > 150


def test_g4_effective_degrees_of_freedom() -> None:
    """G.4.1, example (read): u_c 1.03 %, ν_eff printed as 19."""
    relative = [0.25, 0.57, 0.82]
    assert np.linalg.norm(relative) == pytest.approx(1.0294659, abs=5e-8)
    freedom = float(effective_freedom(relative, [9, 4, 14]))
    assert freedom == pytest.approx(18.9987, abs=5e-5)
    assert float(coverage_factor(freedom, 0.95)) == pytest.approx(2.09, abs=0.005)


def test_g3_degrees_of_freedom_of_a_judgement() -> None:
    """G.4.2, example after equation (G.3) (memory; recomputed): 25 % makes 8."""
    assert freedom_of_judgement(0.25) == 8
    assert freedom_of_judgement(0.0) == np.inf


def test_h1_end_gauge() -> None:
    """H.1 (inputs read): u_c 32 nm, ν_eff printed as 16, t99 2.92, U99 printed as 93 nm (92.48 unrounded)."""
    components, freedom = [25, 9.681942, 2.886787, 16.599027], [18, 25.447, 50, 2]
    combined = float(np.linalg.norm(components))
    assert combined == pytest.approx(31.663879, abs=5e-7)
    assert float(effective_freedom(components, freedom)) == pytest.approx(16.7519, abs=5e-5)
    assert float(coverage_factor(16, 0.99)) == pytest.approx(2.92, abs=0.005)
    assert float(coverage_factor(16, 0.99)) * combined == pytest.approx(92.48, abs=0.005)


def test_h5_zener() -> None:
    """H.5 (data and the first two figures read, the rest recomputed)."""
    with (HERE / "gum_h5_zener.csv").open(encoding="utf-8", newline="") as file:
        lines = list(csv.DictReader(file))
    means = np.array([float(line["mean_V"]) for line in lines])
    within = np.sqrt(np.mean([float(line["s_uV"]) ** 2 for line in lines]))
    between = means.std(ddof=1) * 1e6
    assert round(between) == 57
    assert round(within) == 85
    # s² of a mean of 5 against s²/5 of one within a day.
    found = variance_ratio(between**2, 9, within**2 / 5, 40)
    assert found.ratio == pytest.approx(2.26, abs=0.005)
    assert found.critical == pytest.approx(2.124029, abs=5e-7)
    assert float(fisher(0.05, 9, 40)) == pytest.approx(2.124029, abs=5e-7)
    assert found.exceeds
    assert 0.025 < found.probability < 0.05
    assert np.sqrt(between**2 - within**2 / 5) == pytest.approx(43, abs=0.5)
    assert between / np.sqrt(10) == pytest.approx(18, abs=0.5)
