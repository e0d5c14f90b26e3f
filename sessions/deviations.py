"""The standard deviations of several sessions beside each other, and the accepted one that they suggest."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sessions.comparison_source import Source
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

    @property
    def proposed(self) -> bool:
        """Whether the pool can serve as accepted standard deviation: there is one, and nothing speaks against."""
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
    pooled, total = pool(value, freedom)
    newest = _newest(sources).header.instrument
    return Deviations(
        session,
        value,
        freedom,
        chart(value, freedom),
        homogeneity(value, freedom),
        pooled,
        total,
        newest.unit,
        newest.arcsec_per_unit,
    )


def _newest(sources: tuple[Source, ...]) -> Source:
    dated = [source for source in sources if source.date is not None]
    return (
        max(dated, key=lambda source: source.date.timestamp() if source.date else 0.0)
        if dated
        else sources[-1]
    )
