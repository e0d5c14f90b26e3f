"""The errors of a circle taken apart: harmonics with their likely causes, what remains, the largest errors."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sessions.analysis import Analysis, Estimate
from sessions.budget import Budget, freedom_of_scatter
from sessions.circle_uncertainty import CircleExpanded, circle_expanded
from sessions.circle_words import Words, circle_names, circle_words
from sessions.same_circle import Which
from solver.closure import Flags, Floats, Ints
from solver.extremes import Difference, largest_between, largest_interval
from solver.harmonics import Harmonics, folded, harmonics, without
from solver.radian import ARCSEC_PER_RADIAN
from solver.refused import Refused
from solver.spectrum import limits

#: Probability with which scatter alone makes a harmonic be called significant.
LEVEL = 0.05
_ECCENTRICITY, _ELLIPSE = "eccentricity", "ellipse or tilt"


@dataclass(frozen=True, slots=True)
class Eccentricity:
    """What the first harmonic would be as an eccentricity, in micrometres, of a circle of a diameter in millimetres.

    `uncertainty` is standard and of type A, `expanded` with the lines of the budget.
    """

    diameter: float
    value: float
    uncertainty: float
    expanded: float


@dataclass(frozen=True, slots=True, eq=False)
class CircleAnalysis:
    """One circle of a session taken apart, arc seconds; standard uncertainties of type A, `u` with the budget.

    Parameters
    ----------
    which : str
        "lower" or "upper".
    name : str
        What the circle is called on the screen.
    words : Words
        How it is spoken of.
    position, from_first : Estimate
        (n,) errors about the mean, and from position 0, that is the interval errors summed up.
    found : Harmonics
        Orders 1 … n // 2.
    limit : (H,) array
        Amplitudes that scatter alone exceeds with the probability `LEVEL`; nan where the scatter is not known.
    causes : tuple of str
        Likely cause of each order, "" where none is known.
    removed : tuple of int
        Orders taken off, rising.
    remaining : Estimate
        (n,) errors about the mean without these.
    interval, between : Difference
        Largest interval error, and largest error between any two positions.
    interval_left, between_left : Difference
        The same of what remains.
    eccentricity : Eccentricity or None
        Where a diameter is given.
    u : CircleExpanded
        Expanded uncertainties with the lines of the budget.
    """

    which: Which
    name: str
    words: Words
    position: Estimate
    from_first: Estimate
    found: Harmonics
    limit: Floats
    causes: tuple[str, ...]
    removed: tuple[int, ...]
    remaining: Estimate
    interval: Difference
    between: Difference
    interval_left: Difference
    between_left: Difference
    eccentricity: Eccentricity | None
    u: CircleExpanded

    @property
    def positions(self) -> int:
        """Positions of the circle."""
        return len(self.position.value)

    @property
    def significant(self) -> Flags:
        """Orders that scatter alone makes as large with a probability below `LEVEL`, shape (H,)."""
        return np.asarray(self.found.p_value < LEVEL)

    @property
    def significant_among_all(self) -> Flags:
        """Orders significant even though all were looked at: Bonferroni over the orders, shape (H,)."""
        return np.asarray(self.found.p_value < LEVEL / len(self.found.order))

    @property
    def within_budget(self) -> tuple[int, ...]:
        """Orders that scatter alone does not make, but the lines of the budget may."""
        doubtful = self.significant & (self.found.amplitude <= self.u.amplitude.expanded)
        return tuple(self.found.order[doubtful].tolist())

    @property
    def root_mean_square(self) -> tuple[float, float]:
        """Root mean square of the errors about the mean, and of what remains."""
        before, after = (float(np.sqrt(np.mean(each.value**2))) for each in (self.position, self.remaining))
        return before, after


def analyse_circle(
    analysis: Analysis,
    which: Which = "lower",
    remove: tuple[int, ...] = (),
    teeth: tuple[int, ...] = (),
    diameter: float | None = None,
    budget: Budget | None = None,
) -> CircleAnalysis:
    """Take the errors of a circle apart.

    Parameters
    ----------
    analysis : Analysis
        Of a session.
    which : str
        "lower" or "upper".
    remove : tuple of int
        Orders to take off.
    teeth : tuple of int
        Numbers of teeth or other parts that may show: their orders are named, where n positions let them be seen.
    diameter : float, optional
        Of the graduation or the teeth, millimetres, for the eccentricity that the first harmonic would be.
    budget : Budget, optional
        As recorded in the session.

    Raises
    ------
    Refused
        For a circle that the session does not have or does not determine, for an order that n positions do not show.
    """
    names = circle_names(analysis.header)
    place = 0 if which == "lower" else 1
    if place >= len(names):
        raise Refused(
            "a single closure has one circle only", where="--circle", remedy="analyse the lower circle"
        )
    name, words = names[place], circle_words(analysis.header)[place]
    faces = words.place == "face"
    if faces and diameter is not None:
        raise Refused(
            "a face does not turn when a polygon stands off the axis",
            where="--diameter",
            remedy="leave it out",
        )
    errors = analysis.lower if which == "lower" or analysis.upper is None else analysis.upper
    if not np.isfinite(errors.position.value).all():
        missing = " ".join(analysis.missing).rstrip(".") or "take the readings that are missing"
        raise Refused(f"the {name} errors are not all determined", where="readings", remedy=missing)
    n = analysis.header.design.positions
    value = errors.position.value
    spread = analysis.adjustment.part(which)[1].matrix
    known = np.isfinite(analysis.deviation)
    deviation, freedom = analysis.deviation, freedom_of_scatter(analysis) if known else 0.0
    found = harmonics(value, spread, deviation, freedom)
    orders = tuple(sorted(set(remove)))
    rest, rest_spread = without(value, spread, orders)
    root = np.sqrt(np.maximum(np.diag(rest_spread), 0.0))
    largest = tuple(
        of(each, matrix, deviation, freedom)
        for each, matrix in ((value, spread), (rest, rest_spread))
        for of in (largest_interval, largest_between)
    )
    u = circle_expanded(analysis, budget, which, found, spread, orders, largest)
    return CircleAnalysis(
        which=which,
        name=name,
        words=words,
        position=errors.position,
        from_first=errors.from_first,
        found=found,
        limit=limits(found, n, LEVEL),
        causes=_causes(found.order, n, teeth, faces=faces),
        removed=orders,
        remaining=Estimate(rest, deviation * root),
        interval=largest[0],
        between=largest[1],
        interval_left=largest[2],
        between_left=largest[3],
        eccentricity=_eccentricity(found, u, diameter),
        u=u,
    )


def tooth_words(teeth: int, positions: int) -> str:
    """Say where what comes once for each of so many teeth shows among the harmonics of n positions."""
    order = folded(teeth, positions)
    if order == 0:
        return f"{teeth} teeth: the same at every one of {positions} positions, so they do not show."
    if order == teeth:
        return f"{teeth} teeth: order {order}."
    return f"{teeth} teeth: fall on order {order}, for {positions} positions show no order above {positions // 2}."


def _causes(order: Ints, n: int, teeth: tuple[int, ...], *, faces: bool) -> tuple[str, ...]:
    """Return likely causes; off its axis or tilted, a polygon turns its faces by nothing of the first order."""
    causes: dict[int, list[str]] = {number: [] for number in order.tolist()}
    if not faces:
        causes[1] = [_ECCENTRICITY]
        if n > 4:
            causes[2] = [_ELLIPSE]
    for number in teeth:
        where = folded(number, n)
        if where:
            causes[where].append(f"{number} teeth")
    if n > 2 and n % 2 == 0:
        causes[n // 2].append("even against odd")
    return tuple(", ".join(causes[number]) for number in order.tolist())


def _eccentricity(found: Harmonics, u: CircleExpanded, diameter: float | None) -> Eccentricity | None:
    """Return e = A D / 2 for an amplitude A in radians: 412.53″ times e in µm over D in mm (encoder makers, read)."""
    if diameter is None:
        return None
    scale = diameter * 1000 / (2 * ARCSEC_PER_RADIAN)
    return Eccentricity(
        diameter,
        float(found.amplitude[0] * scale),
        float(found.amplitude_uncertainty[0] * scale),
        float(u.amplitude.expanded[0] * scale),
    )
