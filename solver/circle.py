"""The results of one circle: errors about the mean, from the first position, and of the intervals."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from solver.closure import Flags, Floats, Ints
from solver.normal import Cofactor

#: A value that undetermined directions, unit vectors, move less than this is determined. Measured against exact
#: null spaces: rounding moves it up to 2e-13, a true direction at least 1e-5 for 240 positions, 1e-8 for 1440.
NEGLIGIBLE_COMPONENT = 1e-10


@dataclass(frozen=True, slots=True)
class Values:
    """Adjusted values and the roots of their cofactors; nan where the readings do not determine a value.

    A standard uncertainty (type A) is `root` times the standard deviation of one cell.
    """

    value: Floats
    root: Floats

    @classmethod
    def of(cls, value: Floats, variance: Floats, loose: Floats) -> Values:
        """Blank what is not determined.

        Parameters
        ----------
        value, variance : (M,) arrays
            Adjusted values and their cofactors.
        loose : (M,) array
            How far the undetermined directions, unit vectors, move each value.
        """
        known = loose <= NEGLIGIBLE_COMPONENT
        return cls(
            np.where(known, value, np.nan), np.where(known, np.sqrt(np.maximum(variance, 0.0)), np.nan)
        )

    @classmethod
    def nothing(cls, count: int) -> Values:
        """Return `count` values that are not determined."""
        return cls(np.full(count, np.nan), np.full(count, np.nan))

    def without(self, which: Flags) -> Values:
        """Return the values with those that `which` picks, shape (M,), not determined."""
        return Values(np.where(which, np.nan, self.value), np.where(which, np.nan, self.root))

    @property
    def determined(self) -> bool:
        """Whether every value is determined."""
        return bool(np.isfinite(self.value).all())


@dataclass(frozen=True, slots=True)
class Circle:
    """The errors of one circle, arc seconds, in the direction of rising numbers.

    Parameters
    ----------
    position : Values
        (n,) position errors about the mean of the circle.
    from_first : Values
        (n,) position errors from position 0; the first is 0 with root 0.
    interval : Values
        (n,) interval errors; entry j is the interval that ends at position j + 1 (modulo n).
    """

    position: Values
    from_first: Values
    interval: Values

    @classmethod
    def of(cls, error: Floats, cofactor: Cofactor) -> Circle:
        """Gather the results of a circle from its (n,) errors about the mean and its part of the cofactor."""
        everywhere = np.arange(len(error))
        return cls(
            Values.of(error, _variance(cofactor), _length(cofactor.null)),
            differences(error, cofactor, everywhere, np.zeros_like(everywhere)),
            differences(error, cofactor, np.roll(everywhere, -1), everywhere),
        )


@dataclass(frozen=True, slots=True)
class Measured:
    """The errors of one circle at all P positions that some run stops at, arc seconds.

    Parameters
    ----------
    at : (P,) int array
        Fine positions, rising; the first is 0.
    position : Values
        (P,) position errors about the mean of the n positions that runs round the circle stop at.
    from_first : Values
        (P,) position errors from position 0; the first is 0 with root 0.
    """

    at: Ints
    position: Values
    from_first: Values

    @classmethod
    def of(cls, at: Ints, error: Floats, cofactor: Cofactor) -> Measured:
        """Gather the results of a circle from its (P,) errors and their cofactor."""
        everywhere = np.arange(len(error))
        return cls(
            at,
            Values.of(error, _variance(cofactor), _length(cofactor.null)),
            differences(error, cofactor, everywhere, np.zeros_like(everywhere)),
        )

    def position_at(self, at: Ints) -> Values:
        """Return the position errors at any fine positions, (M,) ints; not determined where no run stops."""
        place = np.minimum(np.searchsorted(self.at, at), len(self.at) - 1)
        found = Values(self.position.value[place], self.position.root[place])
        return found.without(self.at[place] != at)


def differences(error: Floats, cofactor: Cofactor, to: Ints, start: Ints) -> Values:
    """Return position error at `to` minus that at `start`, both (M,) int arrays; of a position from itself 0, root 0.

    Notes
    -----
    q(i - j) = q(ii) - 2 q(ij) + q(jj) (JCGM 100, 5.2.2, equation 16), the well and the weakly determined parts apart.
    """
    strong, weak, null = cofactor.strong, cofactor.weak, cofactor.null
    variance = strong[to, to] - 2 * strong[to, start] + strong[start, start]
    variance = variance + _length(weak[to] - weak[start]) ** 2
    return Values.of(error[to] - error[start], variance, _length(null[to] - null[start]))


def _variance(cofactor: Cofactor) -> Floats:
    return np.diag(cofactor.strong) + _length(cofactor.weak) ** 2


def _length(rows: Floats) -> Floats:
    """Return the length of each row, shape (M,)."""
    return np.asarray(np.linalg.norm(rows, axis=1))
