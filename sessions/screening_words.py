"""What the screening of a session rests on, in words: what could not be tested, and by which scatter it judged."""

from __future__ import annotations

import numpy as np

from sessions.analysis import Analysis
from sessions.certificate.numbers import fixed
from sessions.counted import freedom_words
from solver.closing import closing
from solver.deleted import least_variance
from solver.model_tests import variance_ratio

#: Level at which the residuals are smaller than chance lets them be.
TOO_SMALL = 0.01


def cautions(analysis: Analysis) -> tuple[str, ...]:
    """Return what to know before the standard deviations are believed, a sentence each; none where they agree."""
    return tuple(
        filter(None, (contradiction(analysis), too_close(analysis), no_scatter(analysis), drifts(analysis)))
    )


def drifts(analysis: Analysis) -> str:
    """Say that the runs close with one misfit that the scatter does not explain; "" where it does, or is modelled."""
    design, adjustment = analysis.header.design, analysis.adjustment
    misfit = analysis.misfit_as_read[: design.whole_runs]
    misfit = misfit[np.isfinite(misfit)]
    if design.drift != "none" or len(misfit) < 2:
        return ""
    mean = closing(misfit, float(np.sum(adjustment.residual**2)), adjustment.degrees_of_freedom).mean
    if mean is None or not mean.exceeds:
        return ""
    return (
        f"The runs close with {fixed(float(misfit.mean()), 2, plus=True)}″ on average, more than the scatter explains: "
        "a drift. Count it in the budget, or plan the next session with the drift model linear."
    )


def no_scatter(analysis: Analysis) -> str:
    """Say that all cells fit exactly, which tells nothing of how well they are known; "" where some do not."""
    adjustment = analysis.adjustment
    if adjustment.degrees_of_freedom < 1 or adjustment.standard_deviation > 0:
        return ""
    return (
        "The cells fit the adjustment to the last digit, so ±0 does not say how well they are known: the resolution of "
        "the readings is too coarse to show their scatter. An expanded uncertainty needs lines of the budget."
    )


def too_close(analysis: Analysis) -> str:
    """Say that the cells fit the adjustment better than their repeats allow; "" where they do not.

    Notes
    -----
    F test of the variance of a cell's mean, by its repeats, against that about the adjustment, one-sided.
    """
    cells, adjustment = analysis.cells, analysis.adjustment
    _, within_freedom = cells.repeatability
    freedom, deviation = adjustment.degrees_of_freedom, adjustment.standard_deviation
    if freedom < 1 or within_freedom < 1:
        return ""
    instrument = analysis.header.instrument
    resolution = None if instrument.resolution is None else instrument.resolution * instrument.arcsec_per_unit
    least = least_variance(adjustment.closure, cells, resolution)
    expected = cells.variance_by_repeats
    if not variance_ratio(expected, within_freedom, max(deviation**2, least), freedom, TOO_SMALL).exceeds:
        return ""
    return (
        f"The cells fit the adjustment better than their repeats allow: {deviation:.2g}″ on "
        f"{freedom_words(freedom)}, {np.sqrt(expected):.2g}″ by the repeats. "
        "Look at the repeats; till then the uncertainties may be too small."
    )


def contradiction(analysis: Analysis) -> str:
    """Say that the readings do not agree with the accepted standard deviation of the plan; "" where they do."""
    screening, instrument = analysis.screening, analysis.header.instrument
    if screening is None or not screening.contradicted or instrument.accepted_sd is None:
        return ""
    accepted = instrument.accepted_sd * instrument.arcsec_per_unit
    return (
        f"The readings contradict the accepted standard deviation of {accepted:.3g}″, so they are judged by their "
        "own scatter."
    )


def not_tested(analysis: Analysis) -> tuple[str, ...]:
    """Return the tests that could not be made, each with the reason, as "range: the range … is not stated"."""
    if analysis.screening is None:
        return ()
    return tuple(f"{each.test}: {each.reason}" for each in analysis.screening.not_tested)
