"""The smallest complete closure, simulated: four positions, sixteen readings."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from solver.adjust import Adjustment, adjust
from solver.cells import gather
from solver.closure import Closure, Floats, Ints

#: Positions of the example.
N = 4
#: Interval errors are whole multiples of this, arc seconds, so that sums can be checked in the head.
_GRAIN = 0.1
#: Largest interval error, in grains.
_LARGEST = 9
#: Standard deviation of a reading with scatter, arc seconds, and the digits that it is read with.
SCATTER = 0.03
_DIGITS = 2


@dataclass(frozen=True, slots=True)
class Principle:
    """Two circles of four intervals read against each other at all four offsets, by "interval".

    Parameters
    ----------
    lower, upper : (4,) arrays
        True interval errors, arc seconds; entry j - 1 is that of interval j. Each sums to zero.
    exact : (4, 4) array
        Readings without scatter, arc seconds; row t - 1 is step t, column k the run at offset k.
    scattered : (4, 4) array
        The same readings with scatter.
    met : (4, 4) int array
        Number of the upper interval, 1 to 4, that is read; the lower one is that of the step.

    Notes
    -----
    Readings as in `solver.closure`: y = b[t] - a[k - t + 1], indices modulo 4.
    """

    lower: Floats
    upper: Floats
    exact: Floats
    scattered: Floats
    met: Ints

    @classmethod
    def of(cls, seed: int) -> Principle:
        """Simulate the example of a seed."""
        stream = np.random.default_rng([seed, N])
        lower, upper = _closed(stream), _closed(stream)
        step, run = np.mgrid[1 : N + 1, 0:N]
        met = (run - step) % N + 1
        exact = np.round(lower[step - 1] - upper[met - 1], _DIGITS) + 0.0
        scattered = np.round(exact + stream.normal(0.0, SCATTER, (N, N)), _DIGITS) + 0.0
        return cls(lower, upper, exact, scattered, met.astype(np.int64))

    def with_upper(self, interval: int) -> Ints:
        """Return the run in which each step reads an upper interval, 1 to 4: one reading of every row."""
        return np.asarray(np.argmax(self.met == interval, axis=1), dtype=np.int64)

    def solved(self) -> Adjustment:
        """Return the adjustment of the readings with scatter."""
        step, run = np.mgrid[1 : N + 1, 0:N]
        cells = gather(run.ravel(), step.ravel(), self.scattered.ravel())
        return adjust(Closure(N, reading="interval"), np.arange(N), cells)


def _closed(stream: np.random.Generator) -> Floats:
    """Return interval errors that sum to zero, none of them zero and no two alike."""
    while True:
        grains = stream.integers(-_LARGEST, _LARGEST + 1, N)
        grains[-1] = -grains[:-1].sum()
        if abs(grains[-1]) <= _LARGEST and grains.all() and len(set(grains.tolist())) == N:
            return np.asarray(np.round(grains * _GRAIN, _DIGITS))
