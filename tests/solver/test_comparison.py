"""Two measurements of one circle: the algebra of the tests, and their false alarms by seeded simulation."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from solver.adjust import adjust
from solver.cells import Cells
from solver.closure import Closure, Floats
from solver.comparison import Change, Measured, WholeTest, change

COMPLETE = tuple(range(12))


def cofactor(positions: int, offsets: tuple[int, ...]) -> tuple[Floats, int]:
    """Cofactor matrix of the lower circle of complete runs with closing readings, and the degrees of freedom."""
    runs, steps = len(offsets), positions + 1
    run, step = np.repeat(np.arange(runs), steps), np.tile(np.arange(steps), runs)
    nothing = np.zeros(len(run))
    cells = Cells(run, step, nothing, np.ones_like(run), nothing, np.zeros(runs))
    found = adjust(Closure(positions), np.array(offsets), cells)
    return found.cofactor.part(0, positions).matrix, found.degrees_of_freedom


class Bench:
    """Measures an unchanged circle again and again."""

    def __init__(self, offsets: tuple[int, ...], deviation: float, positions: int = 12) -> None:
        self.cofactor, self.freedom = cofactor(positions, offsets)
        self.deviation = deviation
        values, vectors = np.linalg.eigh(self.cofactor)
        self._root = vectors * np.sqrt(np.maximum(values, 0))

    def measure(self, generator: np.random.Generator) -> Measured:
        error = self.deviation * (self._root @ generator.standard_normal(len(self._root)))
        estimate = self.deviation * np.sqrt(generator.chisquare(self.freedom) / self.freedom)
        return Measured(error - error.mean(), self.cofactor, estimate, self.freedom)


def changes(old: Bench, new: Bench, count: int, seed: int) -> list[Change]:
    generator = np.random.default_rng(seed)
    return [change(old.measure(generator), new.measure(generator)) for _ in range(count)]


def uniform(p_values: list[float]) -> None:
    """Fail where p-values of a true hypothesis are not uniform; seeded, so this passes or fails for good."""
    assert stats.kstest(p_values, "uniform").pvalue > 0.01
    rate = np.mean(np.array(p_values) < 0.05)
    assert rate == pytest.approx(0.05, abs=3 * np.sqrt(0.05 * 0.95 / len(p_values)))


@pytest.mark.parametrize(
    ("old", "new"),
    [
        (Bench(COMPLETE, 0.05), Bench(COMPLETE, 0.05)),
        (Bench((0, 1, 4), 0.05), Bench((0, 1, 4), 0.05)),
        (Bench((0, 1, 4), 0.05), Bench(COMPLETE, 0.15)),
        (Bench((0, 1, 2, 3), 0.05, 4), Bench((0, 1, 2, 3), 0.10, 4)),
    ],
    ids=["complete", "partial", "partial and complete, unequal", "four positions"],
)
def test_p_values_of_an_unchanged_circle_are_uniform(old: Bench, new: Bench) -> None:
    found = changes(old, new, 1500, seed=11)
    uniform([each.whole.p_value for each in found])
    # E_n: at 95.45 % each position is beyond 1 now and then, as often as said, and far beyond hardly ever.
    beyond = np.mean([len(each.beyond) for each in found])
    assert beyond == pytest.approx(np.mean([each.expected_beyond for each in found]), rel=0.15)
    assert beyond / len(found[0].e_n) < 0.055
    assert np.mean(np.abs([each.e_n for each in found]) > 2) < 0.002


def test_a_change_is_seen() -> None:
    generator = np.random.default_rng(5)
    bench = Bench(COMPLETE, 0.05)
    old, new = bench.measure(generator), bench.measure(generator)
    bump = np.zeros(12)
    bump[7] = 0.2
    found = change(old, Measured(new.error + bump - bump.mean(), new.cofactor, new.deviation, new.freedom))
    assert 7 in found.beyond
    assert found.e_n[7] > 3
    assert found.whole.p_value < 1e-6


def test_complete_closures_are_hotellings_test_with_a_known_correlation() -> None:
    """Algebra: V = v (I - 11'/m), so chi-squared is the sum of squares over v, on m - 1 degrees of freedom."""
    # Without closing readings: variance (n - 1)/n² of an error about the mean (design.md, section 2).
    matrix = (np.eye(12) - 1 / 12) / 12
    error = np.random.default_rng(8).normal(0, 0.02, (2, 12))
    old, new = (Measured(row - row.mean(), matrix, 0.05, 110.0) for row in error)
    found = change(old, new)
    assert found.whole.rank == 11
    assert found.whole.chi_squared == pytest.approx(
        np.sum(found.difference**2) / (2 * 0.05**2 / 12), rel=1e-9
    )
    # Equal variances are one variance of twice the freedom, and the test is F exactly.
    assert found.whole.freedom == pytest.approx(220)
    assert found.whole.scale == pytest.approx(1)
    assert found.whole.p_value == pytest.approx(stats.f.sf(found.whole.chi_squared / 11, 11, 220), rel=1e-9)


def test_the_pseudo_inverse_gives_the_same_form() -> None:
    generator = np.random.default_rng(9)
    old, new = Bench((0, 1, 4), 0.05).measure(generator), Bench((0, 1, 3, 7), 0.1).measure(generator)
    found = change(old, new)
    inverse = np.linalg.pinv(old.covariance + new.covariance, rcond=1e-12)
    assert found.whole.chi_squared == pytest.approx(found.difference @ inverse @ found.difference, rel=1e-8)


def test_two_positions_are_welchs_test() -> None:
    """One difference in two sessions: scipy.stats.ttest_ind without equal variances (recomputed)."""
    generator = np.random.default_rng(3)
    first, second = generator.normal(0, 1, 6), generator.normal(0.5, 3, 9)
    expected = stats.ttest_ind(second, first, equal_var=False)
    sessions = [
        # x and -x are the errors about the mean of two positions.
        Measured(
            np.array([sample.mean(), -sample.mean()]),
            np.array([[1.0, -1.0], [-1.0, 1.0]]) / len(sample),
            float(sample.std(ddof=1)),
            len(sample) - 1.0,
        )
        for sample in (first, second)
    ]
    found = change(*sessions)
    assert found.whole.rank == 1
    assert found.whole.freedom == pytest.approx(expected.df, rel=1e-9)
    assert found.whole.p_value == pytest.approx(expected.pvalue, rel=1e-9)
    assert found.freedom == pytest.approx([expected.df] * 2, rel=1e-9)


def test_known_standard_deviations_leave_chi_squared() -> None:
    matrix, _ = cofactor(12, COMPLETE)
    old = Measured(np.zeros(12), matrix, 0.05, np.inf)
    bump = np.linspace(-0.02, 0.02, 12)
    found = change(old, Measured(bump, matrix, 0.05, np.inf))
    assert found.whole.freedom == np.inf
    assert found.whole.p_value == pytest.approx(stats.chi2.sf(found.whole.chi_squared, 11), rel=1e-9)
    assert old.coverage_factor == pytest.approx(stats.norm.isf(0.02275), rel=1e-9)


def test_a_budget_takes_the_place_of_type_a() -> None:
    matrix, freedom = cofactor(12, (0, 1, 4))
    old = Measured(np.zeros(12), matrix, 0.05, freedom, budget=lambda rows: np.full(len(rows), 0.3))
    new = Measured(np.linspace(-0.2, 0.2, 12), matrix, 0.05, freedom, lambda rows: np.full(len(rows), 0.4))
    found = change(old, new)
    assert found.e_n == pytest.approx(found.difference / 0.5)
    assert found.expanded == pytest.approx([0.5] * 12)
    assert np.all(found.chance < 1e-6)


@pytest.mark.parametrize("deviation", [np.nan, 0.0])
def test_without_an_uncertainty_nothing_is_claimed(deviation: float) -> None:
    matrix, _ = cofactor(12, (0, 1, 4))
    good = Measured(np.zeros(12), matrix, 0.05, 14)
    found = change(good, Measured(np.linspace(-0.2, 0.2, 12), matrix, deviation, np.nan))
    assert found.difference[-1] == pytest.approx(0.2)
    assert np.isnan(found.e_n).all()
    assert np.isnan([found.whole.chi_squared, found.whole.p_value, found.whole.f]).all()
    assert found.whole.rank == 11


def test_some_of_the_positions_about_their_own_mean() -> None:
    matrix, _ = cofactor(12, (0, 1, 4))
    error = np.linspace(-1, 1, 12)
    part = Measured(error, matrix, 0.05, 14).at(np.array([0, 4, 8]), -1)
    assert part.error == pytest.approx([8 / 11, 0, -8 / 11])
    pick = np.zeros((3, 12))
    pick[[0, 1, 2], [0, 4, 8]] = 1
    centred = (np.eye(3) - 1 / 3) @ pick
    assert part.cofactor == pytest.approx(centred @ matrix @ centred.T)


def test_a_form_of_no_rank_is_not_determined() -> None:
    found = WholeTest.of(1.0, 0, np.zeros(2), np.zeros(2), np.array([3.0, 4.0]))
    assert np.isnan(found.p_value)
    assert not found.significant()
