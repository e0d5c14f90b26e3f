"""The next offset, against adjustments of all that would then be read."""

from __future__ import annotations

import numpy as np
import pytest

from solver.adjust import Adjustment, adjust
from solver.cells import Cells, gather
from solver.closure import Closure
from solver.extend import extend

Places = list[tuple[int, int]]


def run_places(closure: Closure, run: int, closing: bool = True) -> Places:
    return [(run, step) for step in range(closure.first_step, closure.last_step(closing) + 1)]


def cells_at(places: Places, runs: int) -> Cells:
    pairs = np.array(places, dtype=np.int64).reshape(-1, 2)
    return gather(pairs[:, 0], pairs[:, 1], np.zeros(len(pairs)), runs=runs)


def after(closure: Closure, offsets: list[int], places: Places) -> Adjustment:
    return adjust(closure, np.array(offsets), cells_at(places, len(offsets)))


def mean_variance(adjustment: Adjustment, which: str) -> float:
    circle = getattr(adjustment, which)
    return float(np.mean(circle.position.root**2))


@pytest.mark.parametrize("closing", [True, False])
@pytest.mark.parametrize(
    "closure",
    [
        Closure(8),
        Closure(9, arrangement="face by face"),
        Closure(8, reading="interval"),
        Closure(6, drift="linear"),
    ],
    ids=lambda c: f"{c.reading}-{c.positions}-{c.drift}",
)
def test_each_candidate_gets_the_variance_of_its_adjustment(closure: Closure, closing: bool) -> None:
    gaps = {(0, 3), (1, 2), (1, closure.positions - 1)}
    places = [place for run in (0, 1) for place in run_places(closure, run) if place not in gaps]
    found = extend(closure, np.array([0, 3]), cells_at(places, 2), closing=closing)
    assert found.offset.tolist() == list(range(closure.positions))
    now = after(closure, [0, 3], places)
    assert found.missing_now == now.missing
    np.testing.assert_allclose(found.lower_now, mean_variance(now, "lower"), rtol=1e-8)
    for place, offset in enumerate(found.offset.tolist()):
        then = after(closure, [0, 3, offset], places + run_places(closure, 2, closing))
        assert found.missing[place] == then.missing
        np.testing.assert_allclose(found.lower[place], mean_variance(then, "lower"), rtol=1e-8)
        np.testing.assert_allclose(found.upper[place], mean_variance(then, "upper"), rtol=1e-8)


def test_forward_and_return_makes_two_runs_of_the_offset() -> None:
    closure = Closure(8)
    places = run_places(closure, 0) + run_places(closure, 1)
    found = extend(closure, np.array([0, 1]), cells_at(places, 2), runs=2)
    then = after(closure, [0, 1, 3, 3], places + run_places(closure, 2) + run_places(closure, 3))
    assert found.lower[3] == pytest.approx(mean_variance(then, "lower"))


def test_the_best_is_the_least_of_all() -> None:
    closure = Closure(12)
    places = run_places(closure, 0) + run_places(closure, 1)
    found = extend(closure, np.array([0, 1]), cells_at(places, 2))
    both = found.lower + found.upper
    assert both[found.best] == pytest.approx(both.min())
    ordered = both[found.order]
    assert (np.diff(ordered) > -1e-9 * ordered[0]).all()
    assert found.best in {4, 9, 3, 10, 8, 5}
    assert found.lower[found.best] < found.lower_now


def test_what_determines_more_comes_first() -> None:
    closure = Closure(12)
    places = run_places(closure, 0)
    found = extend(closure, np.array([0]), cells_at(places, 1))
    assert found.missing_now == 11
    prime_to_twelve = [1, 5, 7, 11]
    assert sorted(found.order[:4].tolist()) == prime_to_twelve
    assert found.best == 1
    assert np.isfinite(found.lower[prime_to_twelve]).all()
    assert found.missing[prime_to_twelve].tolist() == [0, 0, 0, 0]
    assert found.missing[0] == 11
    assert np.isnan(found.lower[0])


def test_a_session_without_readings_may_begin_anywhere() -> None:
    found = extend(Closure(6), np.array([2]), cells_at([], 1))
    assert found.best == 0
    assert np.isnan(found.lower_now)
    assert np.isnan(found.lower).all()
    assert (found.missing < found.missing_now).all()


def test_a_split_run_is_weighed_with_its_groups() -> None:
    closure = Closure(8)
    places = run_places(closure, 0) + run_places(closure, 1)
    cells = cells_at(places, 2)
    group = np.where((cells.run == 1) & (cells.step >= 4), 2, cells.run)
    found = extend(closure, np.array([0, 1]), cells, group)
    more = cells_at(places + run_places(closure, 2), 3)
    groups = np.where(more.run == 2, 3, np.where((more.run == 1) & (more.step >= 4), 2, more.run))
    then = adjust(closure, np.array([0, 1, 3]), more, groups)
    assert found.lower[3] == pytest.approx(mean_variance(then, "lower"))


def test_a_single_closure_gains_by_one_run_more() -> None:
    closure = Closure(6, kind="single", reading="interval")
    found = extend(closure, np.array([0]), cells_at(run_places(closure, 0), 1))
    assert found.offset.tolist() == [0]
    assert found.lower[0] == pytest.approx(found.lower_now / 2)
    assert np.isnan(found.upper[0])
    assert found.best == 0


def test_large_circles_weigh_the_likeliest_offsets() -> None:
    closure = Closure(200)
    places = run_places(closure, 0) + run_places(closure, 1)
    found = extend(closure, np.array([0, 1]), cells_at(places, 2))
    assert 2 <= len(found.offset) < 200
    poor = extend(closure, np.array([0, 1]), cells_at(places, 2), candidates=np.array([0, 2, 100]))
    assert found.lower.max() < poor.lower.min()
