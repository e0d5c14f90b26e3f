"""A circle turned in its mounting, or numbered the other way, is recognised; chance is not."""

from __future__ import annotations

import numpy as np
import pytest

from solver.closure import Floats
from solver.turned import Turn, best_turn, common_places


def circle(positions: int, seed: int) -> Floats:
    return np.random.default_rng(seed).normal(0, 0.3, positions)


def renumbered(old: Floats, turn: Turn) -> Floats:
    """New position j is at old position K + j, or at K - j where the error changes its sign."""
    j = np.arange(len(old))
    return -old[(turn.positions - j) % len(old)] if turn.reversed else old[(turn.positions + j) % len(old)]


@pytest.mark.parametrize("positions", [12, 13, 72])
@pytest.mark.parametrize("way", [False, True])
@pytest.mark.parametrize("k", [0, 1, 7])
def test_the_turn_is_found(positions: int, way: bool, k: int) -> None:
    old = circle(positions, 1)
    noise = np.random.default_rng(2).normal(0, 0.03, positions)
    found = best_turn(old, renumbered(old, Turn(k, way)) + noise)
    assert found.turn == Turn(k, way)
    assert found.correlation > 0.95
    assert found.p_value <= 0.01


@pytest.mark.parametrize("way", [False, True])
def test_a_turn_by_a_fraction_of_the_coarser_division(way: bool) -> None:
    """36 positions then 12: position 7 of 36 became 0; and the other way about."""
    fine = circle(36, 4)
    coarse = renumbered(fine, Turn(7, way))[::3]
    found = best_turn(fine, coarse)
    assert found.turn == Turn(7, way)
    assert found.p_value <= 0.01
    # From coarse to fine: with new place u at old place K + u, old 0 stands at new -K.
    back = best_turn(coarse, fine)
    assert back.turn == Turn(7 if way else 29, way)


def test_common_places_follow_the_first_sessions_angles() -> None:
    old, new = common_places((12, 36), (Turn(), Turn(3)))
    assert old.tolist() == list(range(12))
    assert new.tolist() == [(3 * i - 3) % 36 for i in range(12)]
    old, new = common_places((36, 12), (Turn(), Turn(7)))
    assert old.tolist() == sorted((3 * j + 7) % 36 for j in range(12))
    assert [(3 * int(j) + 7) % 36 for j in new] == old.tolist()
    old, new = common_places((4, 4), (Turn(), Turn(1, True)))
    assert new.tolist() == [1, 0, 3, 2]
    assert all(len(place) == 0 for place in common_places((36, 12, 12), (Turn(), Turn(0), Turn(1))))


def test_unrelated_errors_do_not_pass_for_a_turn() -> None:
    generator = np.random.default_rng(5)
    p = [best_turn(generator.normal(0, 1, 12), generator.normal(0, 1, 12)).p_value for _ in range(400)]
    assert np.mean(np.array(p) < 0.05) == pytest.approx(0.05, abs=0.033)


def test_two_eccentric_circles_do_not_pass_for_a_turn() -> None:
    """Errors of one harmonic alone always fit at some turn, and so tell nothing."""
    angle = np.arange(36) * np.pi / 18
    found = best_turn(np.cos(angle), 2 * np.cos(angle + 1.234))
    assert found.correlation > 0.99
    assert found.p_value > 0.05


def test_errors_that_are_all_zero_fit_nothing() -> None:
    assert best_turn(np.zeros(12), circle(12, 1)).p_value == 1.0
