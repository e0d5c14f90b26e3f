"""The standard deviations of several sessions beside each other, and the accepted one that they suggest."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sessions.comparison_source import Source
from sessions.design import Design
from sessions.equipment import Unit
from solver.closure import Floats, Ints
from solver.control_chart import Chart, Homogeneity, chart, homogeneity, pool

#: Below this the sessions are said not to agree, and no common value is proposed.
LEVEL = 0.05


@dataclass(frozen=True, slots=True, eq=False)
class Deviations:
    """Residual standard deviations of the sessions that have degrees of freedom, arc seconds.

    Parameters
    ----------
    session : (K,) int array
        Which sessions they are.
    value, freedom : (K,) arrays
        Standard deviation of a cell about the adjustment, and its degrees of freedom.
    chart : Chart
        Limits of each by all the others.
    homogeneity : Homogeneity or None
        Whether they agree; None where that cannot be tested.
    pooled, pooled_freedom : float
        All of them pooled; nan and 0 without any.
    unit, per_unit : str, float
        Unit of the newest session's instrument, and its arc seconds.
    unlike : str
        Why they are not of the same thing, so that they are neither compared nor pooled; empty where they are.
    """

    session: Ints
    value: Floats
    freedom: Floats
    chart: Chart
    homogeneity: Homogeneity | None
    pooled: float
    pooled_freedom: float
    unit: Unit
    per_unit: float
    unlike: str = ""

    @property
    def proposed(self) -> bool:
        """Whether the pool can serve as accepted standard deviation: there is one, and nothing speaks against it."""
        agree = self.homogeneity is None or self.homogeneity.p_value >= LEVEL
        return bool(agree and self.pooled > 0)

    @property
    def proposed_in_unit(self) -> float:
        """The accepted standard deviation to enter in a header, in the unit."""
        return self.pooled / self.per_unit


def deviations(sources: tuple[Source, ...]) -> Deviations:
    """Put the residual standard deviations of sessions beside each other."""
    adjustments = [source.analysis.adjustment for source in sources]
    session = np.array(
        [number for number, each in enumerate(adjustments) if each.degrees_of_freedom > 0], dtype=np.int64
    )
    value = np.array([adjustments[number].standard_deviation for number in session])
    freedom = np.array([float(adjustments[number].degrees_of_freedom) for number in session])
    unlike = _unlike([sources[number].header.design for number in session])
    nothing = np.empty(0)
    pooled, total = pool(nothing, nothing) if unlike else pool(value, freedom)
    newest = _newest(sources).header.instrument
    return Deviations(
        session,
        value,
        freedom,
        Chart.nothing(len(session)) if unlike else chart(value, freedom),
        None if unlike else homogeneity(value, freedom),
        pooled,
        total,
        newest.unit,
        newest.arcsec_per_unit,
        unlike,
    )


def _unlike(designs: list[Design]) -> str:
    """Say where a cell is not the same thing in all sessions, so that its standard deviation may differ."""
    differ = []
    if len({(design.closure, design.reading) for design in designs}) > 1:
        differ.append("in what a reading is")
    if len({design.repeats for design in designs}) > 1:
        differ.append("in the readings to a cell")
    if not differ:
        return ""
    return (
        f"the sessions differ {' and '.join(differ)}, so that their standard deviations of a cell are not of the "
        "same thing"
    )


def _newest(sources: tuple[Source, ...]) -> Source:
    dated = [source for source in sources if source.date is not None]
    return (
        max(dated, key=lambda source: source.date.timestamp() if source.date else 0.0)
        if dated
        else sources[-1]
    )
