"""Perfect difference sets: offsets whose differences hit every shift equally often."""

from __future__ import annotations

import numpy as np

from solver.closure import Ints


def difference_set(positions: int, count: int) -> tuple[int, ...]:
    """Return `count` residues modulo `positions` with all differences equally frequent, if known.

    Such offsets have the same |D[f]|² at every frequency, and so the least variance that is possible.

    Parameters
    ----------
    positions, count : int
        n and m, with 2 <= m <= n/2; the complement of a difference set is one again.

    Returns
    -------
    tuple of int
        Empty where neither construction fits.

    Notes
    -----
    Singer (1938), Trans. Amer. Math. Soc. 43, 377-385: n = q² + q + 1 and m = q + 1 for a prime power q.
    Paley (1933), J. Math. Phys. 12, 311-320: the quadratic residues modulo a prime n = 3 modulo 4, m =
    (n-1)/2. Every set is checked before it is returned, so neither source is taken on trust.
    """
    order = count - 1
    prime, exponent = _prime_power(order)
    if prime and positions == order * order + order + 1:
        return _singer(prime, exponent)
    if positions % 4 == 3 and count == positions // 2 and _prime_power(positions)[1] == 1:
        residues = tuple(sorted({k * k % positions for k in range(1, positions)}))
        return residues if is_difference_set(positions, residues) else ()
    return ()


def is_difference_set(positions: int, members: tuple[int, ...]) -> bool:
    """Return whether every shift but 0 is equally often a difference of two members, at least once."""
    member = np.asarray(members, dtype=np.int64)
    shifts = np.bincount((member[:, None] - member).ravel() % positions, minlength=positions)[1:]
    return bool(len(shifts) and shifts[0] > 0 and (shifts == shifts[0]).all())


def _prime_power(number: int) -> tuple[int, int]:
    """Return (p, e) with p**e = number and p prime, or (0, 0)."""
    for prime in range(2, number + 1):
        if number % prime == 0:
            exponent = 0
            while number % prime == 0:
                number //= prime
                exponent += 1
            return (prime, exponent) if number == 1 else (0, 0)
        if prime * prime > number:
            return number, 1
    return 0, 0


def _singer(prime: int, exponent: int) -> tuple[int, ...]:
    """Return the exponents i below q² + q + 1 at which a primitive element of GF(q³) has trace 0 over GF(q).

    Elements are vectors over GF(p) with 3 e entries. Polynomials are tried in turn: one whose root is no
    primitive element gives a set that fails the check.
    """
    order = prime**exponent
    positions = order * order + order + 1
    degree = 3 * exponent
    units = order**3 - 1
    place = np.arange(positions)
    conjugates = [place % units, place * order % units, place * order * order % units]
    for number in range(1, prime**degree):
        low = np.array([number // prime**digit % prime for digit in range(degree)], dtype=np.int64)
        if low[0] == 0:
            continue
        powers = _powers(low, prime, units)
        trace = (powers[conjugates[0]] + powers[conjugates[1]] + powers[conjugates[2]]) % prime
        members = tuple(np.flatnonzero(~trace.any(axis=1)).tolist())
        if len(members) == order + 1 and is_difference_set(positions, members):
            return members
    return ()


def _powers(low: Ints, prime: int, count: int) -> Ints:
    """Return the first `count` powers of a root of x**degree = low, by doubling, shape (count, degree)."""
    degree = len(low)
    step = np.zeros((degree, degree), dtype=np.int64)
    step[np.arange(degree - 1), np.arange(1, degree)] = 1
    step[-1] = low
    powers = np.zeros((1, degree), dtype=np.int64)
    powers[0, 0] = 1
    while len(powers) < count:
        powers = np.concatenate([powers, powers @ step % prime])
        step = step @ step % prime
    return powers[:count]
