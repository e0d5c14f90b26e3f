"""A circle that was turned in its mounting, or numbered the other way, between two measurements."""

from __future__ import annotations

from dataclasses import dataclass
from math import lcm

import numpy as np

from solver.closure import Floats, Ints

#: Random phases tried: the smallest p-value is one in so many and one.
SURROGATES = 999
_SEED = 20260302


@dataclass(frozen=True, slots=True, order=True)
class Turn:
    """How the new numbers lie on the circle.

    Parameters
    ----------
    positions : int
        The old position that became 0, counted in the finer division of the two sessions.
    reversed : bool
        Whether the new numbers rise the other way; the errors then change their sign too.
    """

    positions: int = 0
    reversed: bool = False


@dataclass(frozen=True, slots=True)
class Found:
    """The turn that fits best.

    Parameters
    ----------
    turn : Turn
        The best of all.
    correlation : float
        Of old and turned new errors.
    p_value : float
        How often the best of all turns fits as well if the errors have nothing to do with each other.
    """

    turn: Turn
    correlation: float
    p_value: float


def common_places(counts: tuple[int, ...], turns: tuple[Turn, ...]) -> tuple[Ints, ...]:
    """Return which positions of several sessions stand at the same places of the circle.

    Parameters
    ----------
    counts : tuple of int
        Number of positions in each session; that of the first is the old one.
    turns : tuple of Turn
        How each is turned against the first, in the finer division of the two.

    Returns
    -------
    tuple of (m,) int arrays
        For each session the positions at the common places, in the order of the first session's angles; m = 0
        where there is no common place.
    """
    unit = lcm(*counts)
    places = []
    for count, turn in zip(counts, turns, strict=True):
        own = np.arange(count, dtype=np.int64) * (unit // count)
        shift = turn.positions * (unit // max(count, counts[0]))
        places.append((shift - own if turn.reversed else shift + own) % unit)
    common = places[0]
    for place in places[1:]:
        common = np.intersect1d(common, place)
    return tuple(_index(place, common) for place in places)


def _index(place: Ints, common: Ints) -> Ints:
    order = np.argsort(place)
    return np.asarray(order[np.searchsorted(place[order], common)], dtype=np.int64)


def best_turn(old: Floats, new: Floats) -> Found:
    """Find the turn under which new errors look most like the old ones.

    Parameters
    ----------
    old, new : (n,) arrays
        Position errors; the number of one divides that of the other.

    Notes
    -----
    Every turn, both ways round, is tried; the best has the largest correlation of the errors about the mean at
    the common places. How good the best can be by chance depends on how smooth the errors are: two circles
    that are merely eccentric always fit at some turn. So the errors of the coarser session are given random
    phases with their amplitudes kept, harmonic by harmonic, and searched in the same way (surrogate data:
    Theiler and others, Physica D 58 (1992) 77-94, memory). The phases come from a fixed seed.
    """
    fine, coarse = (old, new) if len(old) > len(new) else (new, old)
    steps = len(fine)
    turns = [Turn(k, way) for way in (False, True) for k in range(steps)]
    pairs = [common_places((len(old), len(new)), (Turn(), turn)) for turn in turns]
    whose = 0 if fine is old else 1
    sign = np.where([turn.reversed for turn in turns], -1.0, 1.0)
    # The coarser session in the order of its own positions, so that each turn is one row to multiply with.
    rows = np.stack([pair[whose][np.argsort(pair[1 - whose])] for pair in pairs])
    candidates = _unit(fine[rows]) * sign[:, None]
    target = _unit(coarse[None, :])[0]
    correlation = candidates @ target
    best = int(np.argmax(correlation))
    chance = (candidates @ _surrogates(target).T).max(axis=0)
    p_value = (1 + int(np.sum(chance >= correlation[best] * (1 - 1e-9)))) / (SURROGATES + 1)
    return Found(turns[best], float(correlation[best]), p_value)


def _unit(errors: Floats) -> Floats:
    """Return rows about their mean, of length 1; a row that is all zero stays so."""
    centred = errors - errors.mean(axis=1, keepdims=True)
    length = np.linalg.norm(centred, axis=1, keepdims=True)
    return np.asarray(np.divide(centred, length, out=np.zeros_like(centred), where=length > 0))


def _surrogates(target: Floats) -> Floats:
    """Return errors with the amplitudes of `target` and random phases, (SURROGATES, m)."""
    count = len(target)
    spectrum = np.abs(np.fft.rfft(target))
    generator = np.random.default_rng(_SEED)
    phase = np.exp(2j * np.pi * generator.random((SURROGATES, len(spectrum))))
    if count % 2 == 0:
        # The highest harmonic of an even number of positions has no phase, only a sign.
        phase[:, -1] = np.where(phase[:, -1].real < 0, -1, 1)
    return np.asarray(np.fft.irfft(spectrum * phase, count))
