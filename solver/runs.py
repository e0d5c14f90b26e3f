"""How the runs of a session go: where each begins, how far its settings lie apart, and how many there are."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from solver.closure import Closure, Ints


@dataclass(frozen=True, slots=True)
class Runs:
    """R runs, each round the whole circle or over an arc of it; positions are the fine ones of the closure.

    At step t the lower circle stands at L = start + stride t and the upper one where the formula of a reading puts
    it for offset k and step L: at k - L counter-rotating, at k + L face by face. Step `settings` is back at the
    first setting: the closing reading.

    Parameters
    ----------
    offset, start, stride : (R,) int arrays
        k, lower position at step 0, and positions from one step to the next.
    settings : (R,) int array
        Number of different settings: n round the whole circle, one more than the intervals of an arc.
    """

    offset: Ints
    start: Ints
    stride: Ints
    settings: Ints

    def __len__(self) -> int:
        return len(self.offset)

    @classmethod
    def of(cls, closure: Closure, offset: Ints | Runs) -> Runs:
        """Take runs as they are, or make runs round the whole circle at offsets given in positions, shape (R,)."""
        if isinstance(offset, Runs):
            return offset
        offset = np.asarray(offset, dtype=np.int64)
        same = np.ones(len(offset), dtype=np.int64)
        return cls(
            offset * closure.subdivision, 0 * same, closure.subdivision * same, closure.positions * same
        )

    def join(self, other: Runs) -> Runs:
        """Return these runs and then the others."""
        names = ("offset", "start", "stride", "settings")
        return Runs(*(np.concatenate([getattr(self, name), getattr(other, name)]) for name in names))

    def setting(self, run: Ints, step: Ints) -> tuple[Ints, Ints]:
        """Return offset k and lower position L of (N,) cells, as `solver.rows.rows` takes them."""
        return self.offset[run], self.start[run] + self.stride[run] * (np.asarray(step) % self.settings[run])

    def planned(self) -> tuple[Ints, Ints]:
        """Return run and step of every different setting, shape (sum of settings,)."""
        run = np.repeat(np.arange(len(self), dtype=np.int64), self.settings)
        begin = np.cumsum(self.settings) - self.settings
        return run, np.arange(len(run), dtype=np.int64) - begin[run]


def arcs(closure: Closure, start: Ints, offset: Ints) -> Runs:
    """Return runs in fine steps over arcs one interval long.

    Parameters
    ----------
    closure : Closure
        With its subdivision.
    start, offset : (R,) int arrays
        Lower position at step 0 and offset k of each run, both in fine positions.
    """
    start, offset = (np.asarray(each, dtype=np.int64) for each in (start, offset))
    same = np.ones(len(start), dtype=np.int64)
    return Runs(offset, start, same, (closure.subdivision + 1) * same)
