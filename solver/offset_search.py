"""The search for a set of offsets: in full where that is quick, else by exchanges."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import chain, combinations, islice
from math import comb, gcd

import numpy as np

from solver.closure import Closure, Floats, Ints
from solver.difference_sets import difference_set
from solver.variance import integration

#: Candidate sets times frequencies that are weighed in full before the search turns to exchanges.
EXHAUSTIVE = 1_500_000
#: Exchanges weighed in one search, less on larger circles.
EXCHANGES = 400
#: Sets equal to the best but for turning and renumbering that are compared to name the first in order.
ALIKE = 500_000
#: Candidates of an exchange that are weighed exactly, foremost by the second-order estimate.
SHORTLIST = 6


@dataclass(frozen=True, slots=True)
class Problem:
    """Choose `size` of n offsets so that the sum of weight · m/(m² - |D[f]|²) over f = 1 … n/2 is least.

    Parameters
    ----------
    positions, runs, size : int
        n, m (which also counts runs outside the set searched) and the size of the set.
    weight : (F,) array
        What each frequency f = 1 … F contributes.
    roots : (n,) array
        exp(-2 pi i j/n).
    alike : bool
        Whether all frequencies count the same, so that multiplying the set by a number prime to n changes
        nothing.
    """

    positions: int
    runs: int
    size: int
    weight: Floats
    roots: Floats
    alike: bool

    @classmethod
    def of(cls, closure: Closure, runs: int, size: int) -> Problem:
        """Set up the search of `size` offsets among `runs` runs of a dual closure."""
        n = closure.positions
        frequency = np.arange(1, n // 2 + 1)
        weight = integration(closure)[: n // 2] * np.where(2 * frequency == n, 1.0, 2.0)
        roots = np.exp(-2j * np.pi * np.arange(n) / n)
        return cls(n, runs, size, weight, roots, closure.reading == "position")

    def waves(self, offsets: Ints) -> Floats:
        """Return exp(-2 pi i f k/n) for each offset k, shape (K, F)."""
        frequency = np.arange(1, len(self.weight) + 1)
        return np.asarray(self.roots[np.multiply.outer(offsets, frequency) % self.positions])

    def cost(self, transform: Floats) -> Floats:
        """Return the cost of sets from their D[f], shape (..., F); inf where a frequency is left open."""
        square = float(self.runs) ** 2
        gap = square - transform.real**2 - transform.imag**2
        open_ = (gap <= 1e-9 * square).any(axis=-1)
        total = self.runs * np.sum(self.weight / np.where(gap > 0, gap, 1.0), axis=-1)
        return np.where(open_, np.inf, total)

    def estimate(self, transform: Floats) -> Floats:
        """Return the cost of adding each offset to a set, to second order about the average, shape (n,).

        Adding offset y changes |D|² by 1 + 2 Re(conj(D) w), with w = exp(-2 pi i f y/n): the sums
        over f of Re(c w) and of Re(c w)² are DFTs of c and of c², the latter at 2 y.
        """
        n = self.positions
        gap = float(self.runs) ** 2 - transform.real**2 - transform.imag**2 - 1.0
        gap = np.maximum(gap, 0.5)
        slope = self.runs * self.weight / gap**2
        bend = slope / gap
        change = 2 * np.conj(transform)
        first, second = np.zeros(n, dtype=complex), np.zeros(n, dtype=complex)
        span = slice(1, len(self.weight) + 1)
        first[span] = slope * change
        second[span] = bend * change**2 / 2
        twice = np.arange(n) * 2 % n
        return np.asarray(np.fft.fft(first).real + np.fft.fft(second).real[twice])

    def first_alike(self, members: Ints) -> tuple[int, ...]:
        """Return the first in order, 0 in it, of the sets that turning or renumbering makes of this one."""
        n = self.positions
        factors = [u for u in range(1, n) if gcd(u, n) == 1] if self.alike else [1, n - 1]
        members = np.sort(members)
        if len(factors) * len(members) ** 2 > ALIKE:
            factors = [1]
        best: tuple[int, ...] = ()
        for factor in factors:
            scaled = members * factor % n
            turned = np.sort((scaled - scaled[:, None]) % n, axis=1)
            first = tuple(turned[np.lexsort(turned.T[::-1])[0]].tolist())
            best = min(best, first) if best else first
        return best


def search(problem: Problem) -> Ints:
    """Return the best set found, shape (size,); no order is promised."""
    n, size = problem.positions, problem.size
    if size < 2:
        return np.zeros(size, dtype=np.int64)
    room = EXHAUSTIVE // len(problem.weight)
    # Multiplying by a number prime to n takes any offset to a divisor of n: no other second member is needed.
    divisors = [d for d in range(1, n // 2 + 1) if n % d == 0]
    if comb(n - 1, size - 1) <= room:
        return _exhaust(problem, [])
    if problem.alike and len(divisors) * comb(n - 2, size - 2) <= room:
        return _exhaust(problem, divisors)
    known = difference_set(n, size) if problem.alike else ()
    if known:
        return np.array(known)
    found = [_improve(problem)]
    if problem.alike and comb(n - 2, size - 2) <= room:
        found.append(_exhaust(problem, [1]))
    return min(found, key=lambda members: float(problem.cost(problem.waves(members).sum(axis=0))))


def _exhaust(problem: Problem, seconds: list[int]) -> Ints:
    """Weigh every set with 0 in it (and one of `seconds`, where given)."""
    n, size = problem.positions, problem.size
    best, least = np.arange(size), np.inf
    table = problem.waves(np.arange(n))
    starts: list[tuple[int, ...]] = [(0, second) for second in seconds]
    for fixed in starts or [(0,)]:
        others = [k for k in range(1, n) if k not in fixed]
        rest = combinations(others, size - len(fixed))
        while block := list(islice(rest, max(1, 200_000 // n))):
            chosen = np.fromiter(chain.from_iterable(block), np.int64, len(block) * (size - len(fixed)))
            chosen = chosen.reshape(len(block), size - len(fixed))
            transform = np.tile(table[list(fixed)].sum(axis=0), (len(block), 1))
            for column in chosen.T:
                transform += table[column]
            cost = problem.cost(transform)
            place = int(np.argmin(_rounded(cost)))
            if cost[place] < least * (1 - 1e-12):
                best, least = np.array([*fixed, *chosen[place]]), float(cost[place])
    return best


def _improve(problem: Problem) -> Ints:
    """Add one offset at a time, then exchange one at a time, then kick what is settled and exchange again."""
    budget = max(EXCHANGES * 360 // max(problem.positions, 360), 3 * problem.size)
    members, cost, spent = _settle(problem, _grow(problem, [0]), budget)
    kick = 0
    while spent < budget:
        kick += 1
        # The kicks walk round the set and the circle by steps that share no period, the same every time.
        removed = {(kick * 7 + 3 * j) % problem.size for j in range(1 + kick % 3)}
        start = [int(k) for j, k in enumerate(members) if j not in removed]
        added = (members[0] + kick * 377 + kick * kick) % problem.positions
        if len(removed) > 1 and int(added) not in start:
            start.append(int(added))
        trial, tried, used = _settle(problem, _grow(problem, start), budget - spent)
        spent += used
        if tried < cost * (1 - 1e-12):
            members, cost = trial, tried
    return members


def _grow(problem: Problem, start: list[int]) -> Ints:
    members = list(start)
    transform = problem.waves(np.array(members)).sum(axis=0)
    while len(members) < problem.size:
        place, _ = _best_addition(problem, transform, members)
        members.append(place)
        transform = transform + problem.waves(np.array([place]))[0]
    return np.array(members)


def _settle(problem: Problem, members: Ints, budget: int) -> tuple[Ints, float, int]:
    """Exchange one offset at a time until none lowers the cost or the budget is spent."""
    members = np.sort(members)
    waves = problem.waves(members)
    cost = float(problem.cost(waves.sum(axis=0)))
    spent = since = turn = 0
    while since < len(members) and spent < budget:
        rest = np.delete(members, turn)
        without = np.delete(waves, turn, axis=0).sum(axis=0)
        place, lower = _best_addition(problem, without, rest.tolist())
        spent, since = spent + 1, since + 1
        if lower < cost * (1 - 1e-12):
            members[turn], cost, since = place, lower, 0
            waves[turn] = problem.waves(np.array([place]))[0]
        turn = (turn + 1) % len(members)
    return members, cost, spent


def _best_addition(problem: Problem, transform: Floats, taken: list[int]) -> tuple[int, float]:
    estimate = _rounded(problem.estimate(transform))
    estimate[taken] = np.inf
    shortlist = np.argsort(estimate, kind="stable")[:SHORTLIST]
    cost = problem.cost(transform + problem.waves(shortlist))
    place = int(np.argmin(_rounded(cost)))
    return int(shortlist[place]), float(cost[place])


def _rounded(value: Floats) -> Floats:
    """Round to ten digits, so that rounding in the last ones decides nothing."""
    finite = np.where(np.isfinite(value) & (value != 0), value, 1.0)
    scale = 10.0 ** (9 - np.floor(np.log10(np.abs(finite).max())))
    return np.asarray(np.where(np.isfinite(value), np.round(value * scale) / scale, value))
