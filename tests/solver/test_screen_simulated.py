"""The promises of screening in small, by seeded simulation; tests/benchmarks/test_screening.py has the large ones."""

from __future__ import annotations

import pytest

from tests.solver.invented import COMPLETE
from tests.solver.screened import clean, shifted_runs, slips, spikes


@pytest.mark.parametrize("offsets", [COMPLETE, (0, 1, 4)], ids=["complete", "partial"])
@pytest.mark.parametrize("freedom", [0, None, 20], ids=["own", "known", "estimated"])
def test_false_alarms(offsets: tuple[int, ...], freedom: int | None) -> None:
    found = clean(150, 1, offsets, freedom)
    assert found.flagged <= 0.10


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
