"""Does the stated 95.45 % interval hold the true error 95.45 % of the time? 2,000 simulated sessions each, seeded.

Run as `python -m pytest tests/benchmarks/test_coverage.py -s`.
"""

from __future__ import annotations

import numpy as np
import pytest

from tests.solver.lines import LINES, rectangular
from tests.solver.simulate import BENCHES, coverage
from tests.solver.test_model_tests import RUN, shape

SESSIONS = 2000


@pytest.mark.parametrize("name", BENCHES)
def test_coverage(name: str) -> None:
    found = coverage(BENCHES[name], SESSIONS, 2026)
    print(f"\n{name:<28} {found:8.2%}")
    assert found == pytest.approx(0.9545, abs=0.01)


@pytest.mark.parametrize("name", ["complete", "partial", "interval"])
def test_coverage_with_lines(name: str) -> None:
    """With rectangular and U-shaped lines beside the scatter: these make an interval only safer."""
    bench = BENCHES[name]
    found = coverage(bench, SESSIONS, 2027, LINES, rectangular(bench.closure.positions))
    print(f"\n{name + ', with lines':<28} {found:8.2%}")
    assert 0.9445 <= found <= 0.99


def test_false_alarms_of_the_residual_tests() -> None:
    rng = np.random.default_rng(2028)
    found = [shape(rng.normal(size=len(RUN))) for _ in range(500)]
    for name in ("runs", "neighbours", "normality"):
        rate = np.mean([getattr(each, name).probability <= 0.05 for each in found])
        print(f"\n{name + ', false alarms':<28} {rate:8.2%}")
        assert 0.02 <= rate <= 0.08
