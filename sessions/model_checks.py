"""Does the model hold? Each test with a plain sentence on what it would mean at the bench."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import inf, sqrt
from typing import Literal

import numpy as np

from sessions.analysis import Analysis
from sessions.entries import Conditions, Entry
from sessions.matrix import Snapshot
from sessions.rounding import probability_words
from solver.closure import Floats, Ints
from solver.model_tests import Series, Slope, Tested, VarianceRatio, residual_shape, slope_on, variance_ratio

CheckVerdict = Literal["holds", "usual", "stands out", "not tested"]

#: Level of each test.
LEVEL = 0.05


@dataclass(frozen=True, slots=True)
class ModelCheck:
    """One test of the model.

    Parameters
    ----------
    name : str
        What is tested.
    figures : str
        The statistic and what it is compared with.
    verdict : str
        "holds"; "usual" for scatter beyond the repeats; "stands out", which the bench should be looked at for; or
        "not tested".
    meaning : str
        What that means at the bench.
    """

    name: str
    figures: str
    verdict: CheckVerdict
    meaning: str


def model_checks(entries: Iterable[Entry], snapshot: Snapshot, analysis: Analysis) -> tuple[ModelCheck, ...]:
    """Test whether the model holds for a session.

    Parameters
    ----------
    entries : iterable of Entry
        Of the session, for the temperatures noted.
    snapshot : Snapshot
        Its readings.
    analysis : Analysis
        Of that snapshot.
    """
    moments = cell_times(snapshot, analysis)
    series = series_of(analysis, moments)
    shape = residual_shape(series)
    temperature = _temperature(entries, moments)
    return (
        _accepted(analysis),
        _repeats(analysis),
        _drawn(
            "stretches of one sign, in the order of time",
            shape.runs,
            "{:.0f}, {:.0f} expected",
            fewer="Residuals keep their sign for too long: a slow drift, a warming instrument, or teeth that settle.",
            more="Residuals change their sign too often: a reading may be taken between two settlings of the mirror.",
        ),
        _drawn(
            "correlation of neighbours in time",
            shape.neighbours,
            "{:+.2f}, {:+.2f} expected",
            more="A reading remembers the one before: air that moves slowly, a drift, or an instrument read too soon.",
            fewer="Neighbours lean opposite ways: something is over-corrected, or set from alternate sides.",
        ),
        _straight(shape.normality),
        _with_temperature(temperature, series, analysis),
    )


def cell_times(snapshot: Snapshot, analysis: Analysis) -> Floats:
    """Return when each cell was taken, its newest accepted reading, seconds of the Unix epoch, (N,)."""
    cells = analysis.cells
    return np.array(
        [
            max(reading.time.timestamp() for reading in snapshot.readings(run, step) if reading.counts)
            for run, step in zip(cells.run.tolist(), cells.step.tolist(), strict=True)
        ]
    )


def series_of(analysis: Analysis, moments: Floats) -> Series:
    """Return the residuals in the order of time, (N,) times of the cells given."""
    adjustment = analysis.adjustment
    order: Ints = np.argsort(moments, kind="stable")
    return Series(
        residual=adjustment.residual,
        redundancy=1 - adjustment.leverage,
        order=order,
        group=analysis.group,
        unexplained=adjustment.unexplained,
        deviation=adjustment.standard_deviation,
    )


def _accepted(analysis: Analysis) -> ModelCheck:
    name = "scatter about the adjustment against the accepted standard deviation"
    instrument, adjustment = analysis.header.instrument, analysis.adjustment
    if adjustment.degrees_of_freedom < 1:
        return _impossible(name, "There is no degree of freedom: nothing checks the readings.")
    if instrument.accepted_sd is None:
        return _impossible(name, "No standard deviation was accepted beforehand.")
    accepted = (instrument.accepted_sd * instrument.arcsec_per_unit) ** 2
    freedom = inf if instrument.accepted_sd_dof is None else instrument.accepted_sd_dof
    found = variance_ratio(
        adjustment.standard_deviation**2, adjustment.degrees_of_freedom, accepted, freedom, LEVEL
    )
    meaning = (
        "The cells scatter more than they are known to: dirt between the teeth, a drift, something loose, "
        "or readings that are wrong."
        if found.exceeds
        else "The cells scatter no more than they are known to: no sign that anything moved, drifted or seated badly."
    )
    figures = f"accepted {sqrt(accepted):.2g}″; {_ratio(found)}"
    return ModelCheck(name, figures, _word(not found.exceeds), meaning)


def _repeats(analysis: Analysis) -> ModelCheck:
    name = "scatter about the adjustment against the repeatability"
    cells, adjustment = analysis.cells, analysis.adjustment
    _, freedom = cells.repeatability
    if adjustment.degrees_of_freedom < 1 or freedom < 1:
        return _impossible(name, "There are no repeats, or nothing checks the readings.")
    expected = cells.variance_by_repeats
    if expected == 0:
        return _impossible(
            name, "The repeats are all equal: the last digit is too coarse to show them differ."
        )
    variance = adjustment.standard_deviation**2
    found = variance_ratio(variance, adjustment.degrees_of_freedom, expected, freedom, LEVEL)
    if not found.exceeds:
        meaning = (
            "Cells scatter no more than their repeats explain: the circles seat as well as one can read."
        )
    else:
        between = sqrt(max(variance - expected, 0.0))
        meaning = (
            f"Beyond the repeats, {between:.2g}″ a cell come from seating, drift and set-up, which repeats without "
            "moving do not show. That is usual, and the uncertainty counts it."
        )
    return ModelCheck(name, _ratio(found), "usual" if found.exceeds else "holds", meaning)


def _drawn(name: str, tested: Tested, figures: str, *, more: str, fewer: str) -> ModelCheck:
    if not tested.possible:
        return _impossible(name, "Too few residuals say anything.")
    holds = tested.probability > LEVEL
    side = more if tested.statistic > tested.expected else fewer
    meaning = "As of independent readings." if holds else side
    words = figures.format(tested.statistic, tested.expected).replace("-", "−")
    return ModelCheck(name, f"{words}, {probability_words(tested.probability)}", _word(holds), meaning)


def _straight(tested: Tested) -> ModelCheck:
    name = "normal probability plot of the residuals"
    if not tested.possible:
        return _impossible(name, "Too few residuals say anything.")
    holds = tested.probability > LEVEL
    meaning = (
        "As straight as that of normal scatter."
        if holds
        else "Bent: a few readings are far out, or two kinds of scatter are mixed."
    )
    chance = probability_words(tested.probability)
    figures = f"correlation {tested.statistic:.4f}, {tested.expected:.4f} expected, {chance}"
    return ModelCheck(name, figures, _word(holds), meaning)


def _with_temperature(temperature: Floats | None, series: Series, analysis: Analysis) -> ModelCheck:
    name = "residuals against temperature"
    if temperature is None:
        return _impossible(name, "Fewer than two different temperatures were noted.")
    found = slope_on(temperature, series, analysis.adjustment.degrees_of_freedom)
    if not found.tested.possible:
        return _impossible(name, "The temperature changed no way that the runs could tell.")
    holds = found.tested.probability > LEVEL
    meaning = (
        "The readings do not follow the temperature."
        if holds
        else "The readings follow the temperature: the bench was not steady enough, or not shielded."
    )
    return ModelCheck(name, _slope(found), _word(holds), meaning)


def _temperature(entries: Iterable[Entry], moments: Floats) -> Floats | None:
    """Return the temperature at each cell between those noted; before the first and after the last these hold."""
    noted = [
        (entry.time.timestamp(), entry.temperature)
        for entry in entries
        if isinstance(entry, Conditions) and entry.temperature is not None
    ]
    if len({temperature for _, temperature in noted}) < 2 or not len(moments):
        return None
    noted.sort()
    times, values = np.array(noted).T
    return np.asarray(np.interp(moments, times, values))


def _impossible(name: str, why: str) -> ModelCheck:
    return ModelCheck(name, "", "not tested", why)


def _word(holds: bool) -> CheckVerdict:
    return "holds" if holds else "stands out"


def _ratio(found: VarianceRatio) -> str:
    below = "∞" if np.isinf(found.other_freedom) else f"{found.other_freedom:g}"
    return f"F = {found.ratio:.2f}, limit {found.critical:.2f} ({found.freedom:g} and {below} degrees of freedom)"


def _slope(found: Slope) -> str:
    text = f"{found.slope:+.2g}″ ± {found.uncertainty:.2g}″ per °C (standard uncertainty)"
    return f"{text}, {probability_words(found.tested.probability)}".replace("-", "−")
