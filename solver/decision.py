"""Whether a circle keeps its tolerance, with the uncertainty as a guard band, and what a decision may be wrong by."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

import numpy as np
from numpy.typing import ArrayLike

from solver.closure import Floats
from solver.quantile import student_tail


class Verdict(Enum):
    """What can be said of a circle and its tolerance."""

    CONFORMS = "conforms"
    FAILS = "does not conform"
    OPEN = "not decided"


@dataclass(frozen=True, slots=True)
class Decision:
    """A decision on all errors of a circle; arc seconds.

    Parameters
    ----------
    verdict : Verdict
        "conforms" if every error keeps within the tolerance by its guard band, "does not conform" if any exceeds the
        tolerance by its guard band, else "not decided".
    position : int
        The position that decides: where the error with its guard band goes farthest for "conforms" and "not decided",
        where it is farthest out beyond doubt for "does not conform". -1 where nothing is determined.
    value, guard : float
        Error and guard band there.
    tolerance : float
        Plus or minus.
    margin : float
        What is left of the tolerance after error and guard band there; negative for as much as is lacking. For "does
        not conform": by how much the error exceeds the tolerance even less its guard band, negative.
    undetermined : int
        Number of errors that are not determined, which leave the decision open unless another one fails.
    risk : float
        Probability that the true error at the position of the largest risk is on the wrong side of the tolerance, for
        the verdict given: outside it for "conforms", inside for "does not conform"; nan for "not decided".
    """

    verdict: Verdict
    position: int
    value: float
    guard: float
    tolerance: float
    margin: float
    undetermined: int
    risk: float


def decide(value: Floats, guard: Floats, tolerance: float, standard: Floats, freedom: Floats) -> Decision:
    """Decide whether errors keep within plus or minus a tolerance.

    Parameters
    ----------
    value, guard : (n,) arrays
        Errors and guard bands, the expanded uncertainties; nan where not determined.
    tolerance : float
        Plus or minus, above 0.
    standard, freedom : (n,) arrays
        Combined standard uncertainties and their effective degrees of freedom, for the risk.

    Notes
    -----
    Guarded acceptance and guarded rejection with w = U: JCGM 106, 8.3.2 and 8.3.3 (from memory), ILAC-G8:09/2019, 4.2.2
    (read as quoted). A value in between is stated as not decided, with the figures that leave it so.
    """
    size = np.abs(value)
    known = np.isfinite(size) & np.isfinite(guard)
    undetermined = int(np.count_nonzero(~known))
    if not known.any():
        return Decision(Verdict.OPEN, -1, np.nan, np.nan, tolerance, np.nan, undetermined, np.nan)
    outer, inner = size + guard, size - guard
    fails = known & (inner > tolerance)
    if fails.any():
        verdict, at = Verdict.FAILS, int(np.argmax(np.where(known, inner, -np.inf)))
        margin = tolerance - float(inner[at])
    else:
        at = int(np.argmax(np.where(known, outer, -np.inf)))
        within = undetermined == 0 and bool((outer <= tolerance).all())
        verdict = Verdict.CONFORMS if within else Verdict.OPEN
        margin = tolerance - float(outer[at])
    return Decision(
        verdict,
        at,
        float(value[at]),
        float(guard[at]),
        tolerance,
        margin,
        undetermined,
        _risk(verdict, at, value, tolerance, standard, freedom),
    )


def probability_outside(
    value: ArrayLike, tolerance: float, standard: ArrayLike, freedom: ArrayLike = np.inf
) -> Floats:
    """Return the probability that a true error lies beyond plus or minus the tolerance.

    Parameters
    ----------
    value : array_like
        Measured errors.
    tolerance : float
        Plus or minus.
    standard, freedom : array_like
        Standard uncertainties and degrees of freedom; with a standard uncertainty of 0 the value is the truth.

    Notes
    -----
    Specific risk with the scaled and shifted t-distribution as state of knowledge, nothing known before: JCGM 106, 7.3
    and 9.3 (from memory); JCGM 101, 6.4.9. With guard band w = 2u below 2.3 %, with none up to 50 %.
    """
    value, standard, freedom = np.broadcast_arrays(
        *(np.asarray(each, dtype=float) for each in (value, standard, freedom))
    )
    certain = standard == 0
    scale = np.where(certain, 1.0, standard)
    degrees = np.where(np.isnan(freedom), np.inf, freedom)
    beyond = student_tail((tolerance - value) / scale, degrees) + student_tail(
        (tolerance + value) / scale, degrees
    )
    return np.where(certain, (np.abs(value) > tolerance).astype(float), beyond)


def _risk(
    verdict: Verdict, at: int, value: Floats, tolerance: float, standard: Floats, freedom: Floats
) -> float:
    if verdict is Verdict.OPEN:
        return np.nan
    outside = probability_outside(value, tolerance, standard, freedom)
    return float(outside.max()) if verdict is Verdict.CONFORMS else float(1 - outside[at])
