"""One check: what is expected, where that comes from, how it is obtained, and whether both agree."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import isfinite, nan
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

#: How sure the attribution is: the source (or a copy) was read; the number follows from algebra or from a reference
#: library; it is attributed from memory; it is what everybody does, without a source.
Mark = Literal["read", "recomputed", "memory", "common practice"]


@dataclass(frozen=True, slots=True, eq=False)
class Check:
    """Something published that the program must give again.

    Parameters
    ----------
    topic, name : str
        What is checked.
    source : str
        Where the expected values come from.
    mark : str
        How sure that is.
    function : str
        The public name of what is run.
    expected : mapping of str to float
        Expected values by their labels, in order; a single one may have the label "".
    tolerance : float
        Largest difference, either way; 0 for whole numbers.
    obtain : callable
        Runs the program and returns the values obtained, in the order of `expected`.
    unit : str
        Unit of the values; empty for plain numbers.
    note : str
        What the reader must know besides.
    """

    topic: str
    name: str
    source: str
    mark: Mark
    function: str
    expected: Mapping[str, float]
    tolerance: float
    obtain: Callable[[], ArrayLike]
    unit: str = ""
    note: str = ""

    def run(self) -> Outcome:
        """Obtain the values. A check that breaks is off, and its error is told in the outcome."""
        try:
            obtained = np.atleast_1d(np.asarray(self.obtain(), dtype=float)).ravel()
        except Exception as error:  # noqa: BLE001 - any failure on this computer is a finding, and told as one
            return Outcome(self, (), f"{type(error).__name__}: {error}")
        if len(obtained) != len(self.expected):
            return Outcome(
                self, (), f"{len(obtained)} values were obtained and {len(self.expected)} expected"
            )
        return Outcome(self, tuple(obtained.tolist()))


@dataclass(frozen=True, slots=True, eq=False)
class Outcome:
    """A check that was run.

    Parameters
    ----------
    check : Check
        The check.
    obtained : tuple of float
        The values, in the order of `check.expected`; empty where it broke.
    error : str
        Why it broke; empty where it did not.
    """

    check: Check
    obtained: tuple[float, ...]
    error: str = ""

    @property
    def deviations(self) -> tuple[float, ...]:
        """Obtained minus expected."""
        expected = self.check.expected.values()
        return tuple(got - want for got, want in zip(self.obtained, expected, strict=bool(self.obtained)))

    @property
    def within(self) -> bool:
        """Whether every value was obtained within the tolerance; nan is not."""
        return bool(self.obtained) and not self.beyond

    @property
    def beyond(self) -> tuple[int, ...]:
        """Which of the values obtained are not within the tolerance."""
        return tuple(i for i, each in enumerate(self.deviations) if not abs(each) <= self.check.tolerance)

    @property
    def farthest(self) -> int:
        """Which value is farthest off, the first of several; a value that is no finite number is farther than any."""
        sizes = [abs(each) if isfinite(each) else float("inf") for each in self.deviations]
        return sizes.index(max(sizes)) if sizes else 0

    @property
    def largest(self) -> float:
        """The largest deviation with its sign; nan where nothing was obtained."""
        return self.deviations[self.farthest] if self.obtained else nan
