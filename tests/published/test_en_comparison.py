"""E_n on a published key comparison: CCQM-K30, nine laboratories (read; E_n recomputed; ISO/IEC 17043)."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest

from solver.comparison import e_n

TABLE = Path(__file__).with_name("en_9_laboratories.csv")


def test_e_n_against_the_second_row() -> None:
    with TABLE.open(encoding="utf-8", newline="") as file:
        rows = [(float(row["value_mg_kg"]), float(row["U"])) for row in csv.DictReader(file)]
    value, expanded = np.array(rows).T
    found = e_n(value - value[1], expanded, expanded[1])
    assert found[[0, 5, 7, 8]] == pytest.approx([-0.849696, 0.620891, 0.779848, 1.582685], abs=5e-7)
    assert found[1] == 0
    assert np.flatnonzero(np.abs(found) > 1).tolist() == [8]


def test_without_any_uncertainty_there_is_no_e_n() -> None:
    nothing = np.zeros(2)
    assert np.isnan(e_n(np.array([0.0, 0.1]), nothing, nothing)).all()
