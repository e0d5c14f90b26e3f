"""The promises of screening in small, by seeded simulation; tests/benchmarks/test_screening.py has the large ones."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from solver.closure import Closure, Drift
from tests.solver.invented import COMPLETE, session
from tests.solver.screened import clean, limits, shifted_runs, slips, spikes


@pytest.mark.parametrize("offsets", [COMPLETE, (0, 1, 4)], ids=["complete", "partial"])
@pytest.mark.parametrize("freedom", [0, None, 20], ids=["own", "known", "estimated"])
def test_false_alarms(offsets: tuple[int, ...], freedom: int | None) -> None:
    found = clean(150, 1, offsets, freedom)
    assert found.flagged <= 0.10


@pytest.mark.parametrize("positions", [12, 24])
def test_false_alarms_while_a_supposed_shift_would_free_unknowns(positions: int) -> None:
    """One offset read twice: with a run shifted all but two degrees of freedom would go, and fit nearly anything."""
    assert clean(40, 7, (0, 0), 0, positions=positions).flagged <= 0.10


@pytest.mark.parametrize("drift", ["none", "linear"])
def test_no_supposition_without_a_degree_of_freedom_is_a_finding(drift: Drift) -> None:
    rng = np.random.default_rng(8)
    for _ in range(40):
        drawn = replace(session(rng, (0, 0)), closure=Closure(12, drift=drift))
        flags = drawn.screened(limits(rng, drawn, 0)).flags
        assert all(np.isfinite([flag.statistic, flag.critical]).all() for flag in flags)


def test_one_slip_of_eight_deviations() -> None:
    assert spikes(80, 2, 1, 8.0).found >= 0.97


def test_three_slips() -> None:
    found = spikes(60, 3, 3, 10.0)
    assert found.found >= 0.95
    assert found.innocent <= 0.12


@pytest.mark.parametrize("kind", ["sign", "decimal", "digits", "doubled digit"])
def test_slips_are_found_and_explained(kind: str) -> None:
    found = slips(40, 4, kind)
    assert found.found == 1.0
    assert found.explained >= 0.9


def test_wrong_tooth() -> None:
    assert shifted_runs(30, 5) == 1.0


def test_only_rounding_scatters() -> None:
    """Scatter far below the resolution: the steps of the last digit are no outliers."""
    assert clean(60, 6, COMPLETE, 0, sigma=0.002).flagged <= 0.12
