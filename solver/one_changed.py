"""One position of a circle that alone may have changed between two measurements."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from solver.comparison import Measured, WholeTest, expanded_of_both, inverse_of_both, whole_change


@dataclass(frozen=True, slots=True)
class OneChanged:
    """What changed if only one of the m positions did.

    Parameters
    ----------
    index : int
        Which of them.
    change, expanded : float
        New minus old of that position against all others, arc seconds, and its expanded uncertainty.
    others : WholeTest
        Of the differences at the others about their own mean.
    """

    index: int
    change: float
    expanded: float
    others: WholeTest


def one_changed(old: Measured, new: Measured, whole: WholeTest, level: float = 0.05) -> OneChanged | None:
    """Return the one position whose change alone explains that all together differ, None where there is none.

    Parameters
    ----------
    old, new : Measured
        Independent of each other, of the same m positions in the same order.
    whole : WholeTest
        Of all differences together.
    level : float
        At which all together differ, and without that position do not; without any other they still do.

    Notes
    -----
    With d the differences, V their covariance and P its pseudo-inverse, a further unknown for position p fits
    (P d)_p / P_pp, of variance 1 / P_pp, and takes (P d)_p² / P_pp off chi-squared. That is the same as to leave p out
    and to take the others about their own mean; for complete closures it is d_p less the mean of the others. About the
    mean of all a change c of one position shows as c (m - 1)/m there and -c/m at each other.
    """
    count = len(old.error)
    if count < 3 or not whole.p_value < level:
        return None
    inverse = inverse_of_both(old, new)
    size = inverse @ (new.error - old.error)
    strength = np.diagonal(inverse)
    best, second = np.argsort(size**2 / strength)[::-1][:2].tolist()
    others = _without(old, new, best)
    if not others.p_value >= level or _without(old, new, second).p_value >= level:
        return None
    row = inverse[best] / strength[best]
    expanded = expanded_of_both(old, new, row[None, :])
    return OneChanged(best, float(size[best] / strength[best]), float(expanded[0]), others)


def _without(old: Measured, new: Measured, index: int) -> WholeTest:
    others = np.delete(np.arange(len(old.error), dtype=np.int64), index)
    return whole_change(old.at(others), new.at(others))
