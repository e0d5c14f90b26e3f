"""Which positions of the two circles a reading compares."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from solver.refused import Refused

Kind = Literal["dual", "single"]
ReadingMode = Literal["position", "interval"]
Arrangement = Literal["counter-rotating", "face by face"]
Drift = Literal["none", "linear"]

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Closure:
    """The model of a session: which circles, how they turn, what is read.

    With position errors beta (lower) and alpha (upper), polarity p, run constant c, drift g per step, offset
    k, step t and indices modulo n, a reading is

    ===========  ==================  ============================================
    reading      arrangement         y
    ===========  ==================  ============================================
    "position"   "counter-rotating"  p (beta[t] + alpha[k - t]) + c + g t
    "position"   "face by face"      p (beta[t] - alpha[k + t]) + c + g t
    "interval"   "counter-rotating"  p (b[t] - a[k - t + 1]) + g
    "interval"   "face by face"      p (b[t] - a[k + t]) + g
    single       (one circle)        p (b[t] - x)
    ===========  ==================  ============================================

    where b[j] = beta[j] - beta[j - 1] and a[j] = alpha[j] - alpha[j - 1]. An interval reading is therefore
    the difference of two position settings, at step t and at step t - 1.

    Parameters
    ----------
    positions : int
        n, the number of positions measured on each circle, at least 2.
    kind, reading, arrangement, drift
        As in the session file.
    polarity : int
        +1 if the reading rises when the mirror turns the way the lower circle is stepped, else -1.
    subdivision : int
        m, fine steps that runs over an arc divide an interval into; indices are then modulo n m, and k and t count
        fine steps (`solver.runs` gives them for each run).

    Raises
    ------
    Refused
        Where the combination does not describe a measurement.
    """

    positions: int
    kind: Kind = "dual"
    reading: ReadingMode = "position"
    arrangement: Arrangement = "counter-rotating"
    drift: Drift = "none"
    polarity: int = 1
    subdivision: int = 1

    def __post_init__(self) -> None:
        if self.positions < 2:
            raise Refused(
                f"a circle of {self.positions} positions cannot be closed", remedy="use 2 positions or more"
            )
        if self.polarity not in (1, -1):
            raise Refused(f"polarity is {self.polarity}", remedy="use 1 or -1")
        if self.kind == "single" and self.reading != "interval":
            raise Refused(
                "a single closure reads intervals against one fixed angle",
                remedy='set reading = "interval"',
            )
        if self.kind == "single" and self.drift != "none":
            raise Refused(
                "a drift per step cannot be told from the fixed angle of a single closure",
                remedy='set drift = "none"',
            )
        if self.subdivision < 1:
            raise Refused(f"an interval divided into {self.subdivision} steps", remedy="use 1 or more")
        if self.subdivision > 1 and not (self.dual and self.reading == "position"):
            raise Refused(
                "finer steps inside an arc need two circles read by position",
                remedy='set closure = "dual" and reading = "position"',
            )

    @property
    def dual(self) -> bool:
        """Whether two circles are read against each other."""
        return self.kind == "dual"

    @property
    def fine(self) -> int:
        """Fine positions of a circle, n m; n where no interval is divided."""
        return self.positions * self.subdivision

    @property
    def unknowns(self) -> int:
        """How many position errors the circles have together: 2 n m, or n for a single closure."""
        return self.fine * (2 if self.dual else 1)

    @property
    def shared_terms(self) -> int:
        """How many unknowns the cells of a run share: none, a constant or a drift, or both."""
        if not self.dual:
            return 1
        linear = self.drift == "linear"
        if self.reading == "interval":
            return 1 if linear else 0
        return 2 if linear else 1

    @property
    def first_step(self) -> int:
        """The first step of a run: 0 by "position", 1 by "interval"."""
        return 0 if self.reading == "position" else 1

    def last_step(self, closing: bool) -> int:
        """Return the last step of a run: n with a closing reading or by "interval", else n - 1."""
        return self.positions if closing or self.reading == "interval" else self.positions - 1

    def lower(self, step: Ints) -> Ints:
        """Return the lower position that stands at `step`."""
        return np.asarray(step) % self.fine

    def upper(self, offset: Ints, step: Ints) -> Ints:
        """Return the upper position that stands at `step` of a run at `offset`."""
        turn = -1 if self.arrangement == "counter-rotating" else 1
        return (np.asarray(offset) + turn * np.asarray(step)) % self.fine

    @property
    def upper_sign(self) -> int:
        """The sign with which the upper position error enters a reading by "position"."""
        return 1 if self.arrangement == "counter-rotating" else -1
