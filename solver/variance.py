"""What a design will give before a reading is taken: variances of complete runs in closed form."""

from __future__ import annotations

from dataclasses import dataclass
from math import gcd

import numpy as np

from solver.closure import Closure, Floats
from solver.refused import Refused


@dataclass(frozen=True, slots=True)
class Variances:
    """Variances in units of the variance of one cell, the same for both circles; nan where not determined.

    Parameters
    ----------
    position : float
        Of a position error about the mean of its circle, the same at every position.
    between : (n,) array
        Of the difference of two position errors h positions apart, entry h; the first is 0.
    """

    position: float
    between: Floats

    @property
    def determined(self) -> bool:
        """Whether the runs determine both circles."""
        return bool(np.isfinite(self.position))

    @property
    def interval(self) -> float:
        """Of an interval error."""
        return float(self.between[1])

    @property
    def any_two_mean(self) -> float:
        """Mean over all pairs of positions: 2 n/(n-1) times the variance about the mean."""
        return float(self.between[1:].mean())

    @property
    def any_two_worst(self) -> float:
        """Of the worst pair of positions."""
        return float(self.between[1:].max())

    @property
    def worst_separation(self) -> int:
        """Positions that the worst pair lies apart, the nearer way round; 0 where not determined."""
        if not self.determined:
            return 0
        half = self.between[1 : len(self.between) // 2 + 1]
        return int(np.argmax(half >= half.max() * (1 - 1e-9))) + 1


def determines(closure: Closure, offsets: tuple[int, ...]) -> bool:
    """Return whether complete runs at these offsets determine every error.

    With D the DFT of the multiplicity of the offsets and m its sum, a dual closure leaves frequency f open
    just where |D[f]| = m, that is where f (k - k') is a multiple of n for all pairs of offsets. No f = 1 …
    n-1 is open just when the greatest common divisor of n and all differences is 1.
    """
    if not offsets:
        return False
    return not closure.dual or gcd(closure.positions, *(k - offsets[0] for k in offsets)) == 1


def power(positions: int, offsets: tuple[int, ...]) -> Floats:
    """Return |D[f]|² of the multiplicity d[k] of the offsets, shape (n,)."""
    multiplicity = np.bincount(np.asarray(offsets, dtype=np.int64) % positions, minlength=positions)
    return np.asarray(np.abs(np.fft.fft(multiplicity)) ** 2)


def integration(closure: Closure) -> Floats:
    """Return by what each frequency 1 … n-1 of the noise grows on the way from readings to position errors.

    Position errors read directly keep it. Added up from intervals they are divided by |1 - exp(-2 pi i f/n)|²
    = 4 sin²(pi f/n), the squared response of taking differences.
    """
    n = closure.positions
    if closure.reading == "position":
        return np.ones(n - 1)
    return np.asarray(1.0 / (4 * np.sin(np.pi * np.arange(1, n) / n) ** 2))


def variances(closure: Closure, offsets: tuple[int, ...]) -> Variances:
    """Return the variances that complete runs at these offsets will give.

    Parameters
    ----------
    closure : Closure
        The model.
    offsets : tuple of int
        One for each run; an offset may stand twice (a return run repeats the offset of its forward run). For
        a single closure only their number m counts.

    Returns
    -------
    Variances
        Without closing readings: those add a second reading to the cells at the start, and can only lower a
        variance.

    Raises
    ------
    Refused
        For a drift by "position": with it the runs are no longer alike at every step, and there is no closed
        form.

    Notes
    -----
    Design document, section 2. Each run eliminated, the normal equations of (beta, alpha) fall into n - 1
    blocks [[m, conj D], [D, m]] of one frequency each, so that beta has the cofactor 1/(m - |D[f]|²/m) at
    frequency f, and alpha the same. The covariance depends on the separation alone: it is the inverse DFT of
    that spectrum. A single closure has no second circle and the spectrum 1/m. By "interval" the spectrum is
    that of interval errors. A drift by "interval" touches frequency 0 alone, which closure takes out anyway.
    """
    _in_closed_form(closure)
    n, m = closure.positions, len(offsets)
    if not determines(closure, offsets):
        return Variances(np.nan, np.where(np.arange(n) > 0, np.nan, 0.0))
    share = power(n, offsets)[1:] / m if closure.dual else 0.0
    spectrum = np.zeros(n)
    spectrum[1:] = integration(closure) / (m - share)
    covariance = np.fft.ifft(spectrum).real
    between = 2 * (covariance[0] - covariance)
    between[0] = 0.0
    return Variances(float(covariance[0]), between)


def bound(closure: Closure, runs: int) -> float:
    """Return what no choice of `runs` offsets can better: the least variance of a position about the mean.

    Notes
    -----
    Parseval fixes the sum of |D[f]|² over f = 1 … n-1 at n sum d² - m², least for offsets as different as can
    be. The variance is convex in the |D[f]|², so by "position" none is below that of equal |D[f]|²: (n-1)/n
    over m - (n sum d² - m²)/(m (n-1)), a little above (n-1)/(n m). Perfect difference sets and the complete
    closure attain it. By "interval" low frequencies count more and the least is found by Lagrange
    multipliers, |D[f]|² >= 0 kept.
    """
    _in_closed_form(closure)
    n, m = closure.positions, runs
    growth = integration(closure)
    if not closure.dual:
        return float(growth.sum() / (n * m))
    whole, rest = divmod(m, n)
    squares = rest * (whole + 1) ** 2 + (n - rest) * whole**2
    room = float((n - 1) * m**2 - (n * squares - m**2))
    gap = _shared_out(np.sqrt(growth), float(m**2), room)
    if not (gap > 0).all():
        return np.inf
    return float(np.sum(growth * m / gap) / n)


def _shared_out(weight: Floats, limit: float, total: float) -> Floats:
    """Share `total` out in proportion to `weight`, none getting more than `limit`."""
    order = np.argsort(-weight, kind="stable")
    for capped in range(len(weight)):
        rest = order[capped:]
        factor = (total - capped * limit) / weight[rest].sum()
        if factor * weight[rest[0]] <= limit * (1 + 1e-12):
            break
    share = np.full(len(weight), limit)
    share[rest] = factor * weight[rest]
    return share


def rank(closure: Closure, runs: int) -> int:
    """Return the rank of a design of complete runs that determines every error, terms of the runs included.

    n - 1 errors a circle, and the fixed angle of a single closure; by "position" a constant a run; with a
    drift by "interval" one a run.
    """
    _in_closed_form(closure)
    errors = closure.positions - 1
    if not closure.dual:
        return errors + 1
    own = runs if closure.reading == "position" or closure.drift == "linear" else 0
    return 2 * errors + own


def cells(closure: Closure, runs: int, closing: bool) -> int:
    """Return how many cells complete runs fill."""
    return runs * (closure.last_step(closing) - closure.first_step + 1)


def degrees_of_freedom(closure: Closure, runs: int, closing: bool) -> int:
    """Return cells minus rank of complete runs that determine every error."""
    return cells(closure, runs, closing) - rank(closure, runs)


def _in_closed_form(closure: Closure) -> None:
    if closure.reading == "position" and closure.drift == "linear":
        raise Refused(
            'a drift by "position" has no closed formula to plan with',
            where="drift",
            remedy='plan with drift = "none"; closing readings then show what drift there is',
        )
