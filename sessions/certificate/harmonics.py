"""The harmonics of a circle as a certificate names them: amplitude and phase with their expanded uncertainties."""

from __future__ import annotations

import numpy as np

from sessions.certificate.numbers import decimals_of, fixed, pair
from sessions.circle_analysis import CircleAnalysis

#: Harmonics named at the most, the largest of those that scatter does not explain.
_MOST = 5


def harmonic_words(circle: CircleAnalysis) -> tuple[tuple[str, str], ...]:
    """Return the largest orders that are significant among all, and amplitude and place of the peak of each."""
    found, u = circle.found, circle.u
    telling = np.flatnonzero(circle.significant_among_all & np.isfinite(u.amplitude.expanded))
    largest = telling[np.argsort(-found.amplitude[telling], kind="stable")][:_MOST]
    return tuple((_times(int(found.order[at])), _words(circle, int(at))) for at in np.sort(largest))


def _words(circle: CircleAnalysis, at: int) -> str:
    found, u = circle.found, circle.u
    amplitude, expanded = pair(float(found.amplitude[at]), float(u.amplitude.expanded[at]))
    words = f"{amplitude.removeprefix('+')}″ ± {expanded}″ (k = {u.amplitude.factor[at]:.2f})"
    order = int(found.order[at])
    peak, phase_u = float(found.peak[at]), float(u.phase.expanded[at]) / order
    if phase_u == 0:
        words += f", highest at {peak:g}°"
    else:
        decimals = decimals_of(phase_u)
        words += f", highest at {fixed(peak, decimals)}° ± {fixed(phase_u, decimals)}°"
    if order > 1:
        words += f" and every {360 / order:.5g}° on"
    if order in circle.within_budget:
        words += "; within its uncertainty, so the budget's lines may make it"
    return words


def _times(order: int) -> str:
    return {1: "Once per turn", 2: "Twice per turn"}.get(order, f"{order} times per turn")
