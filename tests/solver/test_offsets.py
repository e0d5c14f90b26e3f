"""The search for offsets, against the best of all sets where these can be counted out."""

from __future__ import annotations

from itertools import combinations
from math import gcd

import pytest

from solver import offset_search
from solver.closure import Closure
from solver.difference_sets import difference_set, is_difference_set
from solver.offsets import best_offsets, checked_offsets
from solver.refused import Refused
from solver.variance import bound, determines, variances


def best_of_all(closure: Closure, count: int) -> float:
    n = closure.positions
    sets = [(0, *rest) for rest in combinations(range(1, n), count - 1)]
    return min(variances(closure, offsets).position for offsets in sets if determines(closure, offsets))


@pytest.mark.parametrize("reading", ["position", "interval"])
@pytest.mark.parametrize("positions", [2, 3, 4, 6, 9, 10])
def test_small_circles_get_the_best_of_all_sets(positions: int, reading: str) -> None:
    closure = Closure(positions, reading="interval" if reading == "interval" else "position")
    for count in range(2, positions + 1):
        found = best_offsets(closure, count)
        assert len(set(found)) == count
        assert found[0] == 0
        assert list(found) == sorted(found)
        assert variances(closure, found).position == pytest.approx(best_of_all(closure, count), rel=1e-9)


@pytest.mark.parametrize("reading", ["position", "interval"])
def test_a_difference_that_shares_no_unit_is_weighed_too(reading: str) -> None:
    # Of 30 positions 0, 6, 10, 15 have differences that all share a factor with 30, and yet determine
    # everything.
    assert gcd(30, 6, 10, 15) == 1
    closure = Closure(30, reading="interval" if reading == "interval" else "position")
    found = variances(closure, best_offsets(closure, 4)).position
    assert found == pytest.approx(best_of_all(closure, 4), rel=1e-9)


def test_sets_of_the_design_document() -> None:
    assert best_offsets(Closure(12), 3) == (0, 1, 4)
    assert best_offsets(Closure(12), 4) == (0, 1, 3, 7)


@pytest.mark.parametrize(
    ("positions", "expected"), [(7, (0, 1, 3)), (13, (0, 1, 3, 9)), (21, (0, 1, 4, 14, 16))]
)
def test_published_perfect_difference_sets_are_found(positions: int, expected: tuple[int, ...]) -> None:
    # Published, combinatorial design theory; that they are perfect is checked here besides.
    assert is_difference_set(positions, expected)
    assert best_offsets(Closure(positions), len(expected)) == expected


@pytest.mark.parametrize("order", [2, 3, 4, 5, 7, 8, 9, 11, 13, 16, 25, 27, 32, 37])
def test_singer_sets_exist_for_prime_powers(order: int) -> None:
    # Singer (1938): n = q² + q + 1, m = q + 1 (memory; every difference counted here).
    positions = order * order + order + 1
    members = difference_set(positions, order + 1)
    differences = sorted((a - b) % positions for a in members for b in members if a != b)
    assert differences == list(range(1, positions))


def test_quadratic_residues_and_no_sets() -> None:
    # Paley (1933) (memory): for n = 11 every difference occurs twice.
    members = difference_set(11, 5)
    differences = sorted((a - b) % 11 for a in members for b in members if a != b)
    assert differences == sorted(list(range(1, 11)) * 2)
    assert difference_set(12, 4) == ()
    assert difference_set(43, 7) == ()
    assert difference_set(15, 7) == ()


def test_large_perfect_sets_reach_the_bound() -> None:
    closure = Closure(133)
    found = best_offsets(closure, 12)
    assert variances(closure, found).position == pytest.approx(bound(closure, 12), rel=1e-12)


@pytest.mark.parametrize(("positions", "count", "share"), [(360, 20, 1.01), (72, 12, 1.01), (1440, 24, 1.02)])
def test_large_circles_come_close_to_the_bound(positions: int, count: int, share: float) -> None:
    closure = Closure(positions)
    found = best_offsets(closure, count)
    assert variances(closure, found).position < share * bound(closure, count)


@pytest.mark.parametrize(("positions", "count"), [(24, 5), (30, 4), (36, 4), (20, 8)])
@pytest.mark.parametrize("reading", ["position", "interval"])
def test_exchanges_come_within_a_percent_of_the_full_search(
    positions: int, count: int, reading: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    closure = Closure(positions, reading="interval" if reading == "interval" else "position")
    full = variances(closure, best_offsets(closure, count)).position
    monkeypatch.setattr(offset_search, "EXHAUSTIVE", -1)
    quick = variances(closure, best_offsets(closure, count)).position
    assert full <= quick * (1 + 1e-12)
    assert quick < 1.01 * full


@pytest.mark.parametrize("positions", [2, 3, 4, 6, 12, 30, 60, 210])
@pytest.mark.parametrize("reading", ["position", "interval"])
def test_no_offered_set_leaves_errors_open(positions: int, reading: str) -> None:
    closure = Closure(positions, reading="interval" if reading == "interval" else "position")
    for count in (2, 3, 4, 5, 7, 12, positions // 2, positions - 1, positions, positions + 1, 2 * positions):
        if count < 2:
            continue
        found = best_offsets(closure, count)
        assert len(found) == count
        assert all(0 <= offset < positions for offset in found)
        assert gcd(positions, *found) == 1
        assert variances(closure, found).determined


def test_the_search_is_the_same_every_time() -> None:
    assert best_offsets(Closure(360), 10) == best_offsets(Closure(360), 10)


def test_more_runs_than_positions_repeat_the_closure() -> None:
    assert best_offsets(Closure(5), 10) == (0, 0, 1, 1, 2, 2, 3, 3, 4, 4)
    assert best_offsets(Closure(4), 5) == (0, 0, 1, 2, 3)


def test_a_single_closure_repeats_its_run() -> None:
    assert best_offsets(Closure(5, kind="single", reading="interval"), 3) == (0, 0, 0)


def test_one_offset_is_refused() -> None:
    with pytest.raises(Refused, match="one offset determines neither circle"):
        best_offsets(Closure(12), 1)


@pytest.mark.parametrize(
    ("offsets", "words"),
    [
        ((0, 12), "no offset 12"),
        ((-1, 0), "no offset -1"),
        ((5,), "one offset determines neither"),
        ((5, 5), "one offset determines neither"),
        ((1, 3, 5), "share the factor 2"),
        ((0, 3, 6, 9), "share the factor 3"),
        ((), "one offset determines neither"),
    ],
)
def test_offsets_that_no_session_could_use_are_refused(offsets: tuple[int, ...], words: str) -> None:
    with pytest.raises(Refused, match=words) as refused:
        checked_offsets(Closure(12), offsets)
    assert refused.value.remedy


def test_usable_offsets_pass_as_given() -> None:
    assert checked_offsets(Closure(12), (4, 0, 1, 0)) == (4, 0, 1, 0)
