"""Corrections: what a circle really gives at an angle, from a zero, with its uncertainty."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from fractions import Fraction
from io import StringIO

import numpy as np

from sessions.analysis import Analysis
from sessions.budget import Budget, of_any_two_fine
from sessions.circle_words import angle_words
from solver.refused import Refused

#: Columns of the CSV, each with what it holds.
COLUMNS = {
    "set_to_deg": "what the circle is set to, degrees",
    "nominal_deg": "nominal angle from the zero, degrees",
    "actual_deg": "actual angle from the zero, degrees",
    "error_arcsec": "actual minus nominal, arc seconds; empty where it is not determined with its uncertainty",
    "correction_arcsec": "what to add to the actual angle to get the nominal one: minus the error",
    "expanded_uncertainty_arcsec": "of the error",
    "coverage_factor": "k; empty at the zero",
}


@dataclass(frozen=True, slots=True)
class Correction:
    """An angle from a zero; nan where it is not determined.

    Parameters
    ----------
    circle : str
        "lower" or "upper".
    position, zero, positions : int
        Positions of angle and zero, and how many there are; with arcs all three in fine steps.
    nominal : float
        Nominal angle from the zero in the direction of rising numbers, degrees, 0 to below 360.
    error, expanded : float
        Actual minus nominal, and its expanded uncertainty, arc seconds.
    factor, freedom : float
        Coverage factor and effective degrees of freedom.
    """

    circle: str
    position: int
    zero: int
    positions: int
    nominal: float
    error: float
    expanded: float
    factor: float
    freedom: float

    @property
    def determined(self) -> bool:
        """Whether the readings determine it, with its uncertainty."""
        return bool(np.isfinite(self.error) and np.isfinite(self.expanded))

    @property
    def set_to(self) -> float:
        """What the circle is set to, degrees."""
        return 360 * self.position / self.positions

    @property
    def actual(self) -> float:
        """Actual angle from the zero, degrees."""
        return self.nominal + self.error / 3600

    def actual_words(self, decimals: int) -> str:
        """Return the actual angle as "179° 59′ 59.85″", so many digits after the point."""
        unit = 10**decimals
        seconds = round((self.nominal * 3600 + self.error) * unit) % (360 * 3600 * unit)
        minutes, rest = divmod(seconds, 60 * unit)
        degrees, minutes = divmod(minutes, 60)
        width = decimals + 3 if decimals else 2
        return f"{degrees}° {minutes:02d}′ {rest / unit:0{width}.{decimals}f}″"


def corrections(analysis: Analysis, budget: Budget, circle: str, zero: int) -> tuple[Correction, ...]:
    """Return every position of a circle from a zero, in the order of rising numbers from the zero on.

    With arcs those are all the fine positions that some run stops at, and the zero is one of them.

    Raises
    ------
    Refused
        For a circle that the session does not have.
    """
    _refuse_strange(analysis, circle)
    fine = analysis.adjustment.closure.fine
    steps = np.sort((analysis.adjustment.measured(circle).at - zero) % fine)
    to = (steps + zero) % fine
    value, u = of_any_two_fine(analysis, budget, circle, to, np.full(len(to), zero))
    return tuple(
        Correction(
            circle, int(position), zero, fine, 360 * int(step) / fine, *(float(each) for each in numbers)
        )
        for step, position, *numbers in zip(steps, to, value, u.expanded, u.factor, u.freedom, strict=True)
    )


def measured_at(analysis: Analysis, circle: str, degrees: Fraction, where: str) -> int:
    """Return the position of a circle, in fine steps where there are arcs, at a nominal angle.

    Raises
    ------
    Refused
        For an angle at which no run stops: nothing is known of it, and nothing is made up; and for a circle that the
        session does not have.
    """
    _refuse_strange(analysis, circle)
    closure = analysis.adjustment.closure
    if closure.subdivision == 1:
        return position_at(degrees, closure.positions, where)
    place = degrees * closure.fine / 360 % closure.fine
    at = analysis.adjustment.measured(circle).at
    if place.denominator == 1 and int(place) in at:
        return int(place)
    after = int(np.searchsorted(at, float(place)))
    near = " and ".join(angle_words(int(at[each % len(at)]), closure.fine) for each in (after - 1, after))
    raise Refused(
        f"nothing of the {circle} circle was read at {float(degrees):g}°",
        where=where,
        remedy=f"the nearest that were calibrated are {near}",
    )


def _refuse_strange(analysis: Analysis, circle: str) -> None:
    known = [name for name, _ in analysis.circles]
    if circle not in known:
        raise Refused(
            f"the session has no {circle} circle", where="--circle", remedy=f"use {' or '.join(known)}"
        )


def position_at(degrees: Fraction, positions: int, where: str) -> int:
    """Return the position at a nominal angle; whole turns more or less make no difference.

    Raises
    ------
    Refused
        For an angle between two positions: nothing is known of it, and nothing is made up.
    """
    place = degrees * positions / 360
    if place.denominator == 1:
        return int(place) % positions
    below = int(place.__floor__()) % positions
    near = f"{angle_words(below, positions)} and {angle_words((below + 1) % positions, positions)}"
    raise Refused(
        f"{float(degrees):g}° lies between two positions, and nothing was read there",
        where=where,
        remedy=f"the nearest that were calibrated are {near}",
    )


def correction_csv(table: tuple[Correction, ...]) -> str:
    """Return a table for a controller or spreadsheet: one heading, then one line a position, all digits."""
    file = StringIO()
    writer = csv.writer(file, lineterminator="\n")
    writer.writerow(COLUMNS)
    for line in table:
        # Nothing is corrected by an error whose uncertainty is not determined.
        known = 1.0 if line.determined else np.nan
        angles = (line.set_to, line.nominal, known * line.actual)
        seconds = (known * line.error, 0.0 - known * line.error, line.expanded, line.factor)
        writer.writerow(
            [
                *("" if np.isnan(value) else f"{value:.10f}" for value in angles),
                *("" if np.isnan(value) else repr(value) for value in seconds),
            ]
        )
    return file.getvalue()
