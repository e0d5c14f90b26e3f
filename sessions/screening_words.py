"""What the screening of a session rests on, in words: what could not be tested, and by which scatter it judged."""

from __future__ import annotations

from sessions.analysis import Analysis


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
