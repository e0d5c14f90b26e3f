"""Variance factors of single and dual closure, n = 3 … 36.

Source: algebra, confirmed by constrained least squares; recomputed. The same two cases: Estler, J. Res. Natl. Inst.
Stand. Technol. 103 (1998) 141-151 (abstract read, formulas memory) and Reeve, NBSIR 75-750 (1975) (abstract read).
"""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest

from solver.adjust import Adjustment, adjust
from solver.cells import gather
from solver.closure import Closure

with (Path(__file__).parent / "closure_factors.csv").open(encoding="utf-8", newline="") as file:
    TABLE = {
        int(line["n"]): {name: float(value) for name, value in line.items()} for line in csv.DictReader(file)
    }


def complete(closure: Closure, runs: int) -> Adjustment:
    steps = np.arange(closure.positions) + closure.first_step
    run, step = (x.ravel() for x in np.meshgrid(np.arange(runs), steps, indexing="ij"))
    return adjust(closure, np.arange(runs), gather(run, step, np.zeros(run.size)))


@pytest.mark.parametrize("n", TABLE)
def test_single(n: int) -> None:
    circle = complete(Closure(n, kind="single", reading="interval"), 1).lower
    np.testing.assert_allclose(circle.interval.root**2, TABLE[n]["single_interval"], rtol=1e-11)
    assert max(circle.from_first.root**2) == pytest.approx(TABLE[n]["single_worst_position"], rel=1e-11)


@pytest.mark.parametrize("n", TABLE)
def test_dual_by_position(n: int) -> None:
    adjustment = complete(Closure(n), n)
    assert adjustment.upper is not None
    for circle in (adjustment.lower, adjustment.upper):
        expected = TABLE[n]["dual_position_or_interval"]
        np.testing.assert_allclose(circle.position.root**2, expected, rtol=1e-11)
        between = TABLE[n]["dual_position_reading_any_two"]
        np.testing.assert_allclose(circle.from_first.root[1:] ** 2, between, rtol=1e-11)


@pytest.mark.parametrize("n", TABLE)
def test_dual_by_interval(n: int) -> None:
    adjustment = complete(Closure(n, reading="interval"), n)
    assert adjustment.upper is not None
    for circle in (adjustment.lower, adjustment.upper):
        expected = TABLE[n]["dual_position_or_interval"]
        np.testing.assert_allclose(circle.interval.root**2, expected, rtol=1e-11)
        worst = TABLE[n]["dual_interval_reading_worst_position"]
        assert max(circle.from_first.root**2) == pytest.approx(worst, rel=1e-11)
