"""Risks of decisions with and without a guard band: JCGM 106, ILAC-G8:09/2019 (read as quoted), Φ recomputed."""

from __future__ import annotations

import numpy as np
import pytest

from solver.decision import Verdict, decide, probability_outside


def test_guard_band_of_two_standard_uncertainties() -> None:
    """Φ(−2) = 0.0227501 (recomputed), below the 2.5 % of ILAC-G8:09/2019 for w = U (read as quoted)."""
    risk = float(probability_outside(1 - 2 * 0.01, 1.0, 0.01))
    assert risk == pytest.approx(0.0227501, abs=5e-8)
    assert risk < 0.025


def test_simple_acceptance() -> None:
    """With no guard band a value at the limit is wrong half the time (ILAC-G8:09/2019, read as quoted)."""
    assert float(probability_outside(1.0, 1.0, 0.01)) == pytest.approx(0.5, abs=1e-12)


@pytest.mark.parametrize(("value", "guard"), [(0.8, 0.2), (-0.8, 0.2)])
def test_risk_stated_with_acceptance(value: float, guard: float) -> None:
    """Accepted at the very edge of the guarded limit, k = 2 and much freedom: the risk that is stated is Φ(−2)."""
    one = np.array([value])
    found = decide(one, np.array([guard]), 1.0, np.array([guard / 2]), np.array([np.inf]))
    assert found.verdict is Verdict.CONFORMS
    assert found.margin == pytest.approx(0, abs=1e-12)
    assert found.risk == pytest.approx(0.0227501, abs=5e-8)


def test_simulated_risk_of_wrong_acceptance() -> None:
    """Global risk by simulation (JCGM 106, 9.5: memory): with the guard band far below 2.3 %, without it far more."""
    rng = np.random.default_rng(106)
    truth = rng.uniform(-2, 2, 400_000)
    measured = truth + rng.normal(0, 0.1, truth.size)
    accepted, guarded = np.abs(measured) <= 1, np.abs(measured) <= 0.8
    simple = np.mean(np.abs(truth[accepted]) > 1)
    banded = np.mean(np.abs(truth[guarded]) > 1)
    specific = probability_outside(measured, 1.0, 0.1)
    assert specific[guarded].max() <= 0.0227502
    assert 0.4 < specific[accepted].max() <= 0.5 + 1e-9
    assert banded < simple / 20
    # With a flat prior the mean of the specific risks is the global one.
    assert specific[accepted].mean() == pytest.approx(simple, rel=0.05)
