"""The control chart of the standard deviations, as text."""

from __future__ import annotations

import math

from sessions.comparison import Comparison
from sessions.deviations import Deviations
from sessions.rounding import decimals_for, decimals_of_column, probability_words
from tui.widgets.formats import plain, wrapped
from tui.widgets.marks import UNICODE as SIGNS

_WIDTH = 78
_TITLE = f"Residual standard deviation of a cell ({SIGNS.arcsec})"


def deviation_lines(comparison: Comparison) -> list[str]:
    """Return the residual standard deviations with their limits, and the accepted one that they suggest."""
    found = comparison.deviations
    if not len(found.value):
        return wrapped("Standard deviations: no session has degrees of freedom.", _WIDTH)
    if found.unlike:
        return [
            *_unlike_lines(found),
            "",
            *wrapped(f"No accepted standard deviation is proposed: {found.unlike}.", _WIDTH),
        ]
    decimals = decimals_for(found.pooled)
    lines = [f"{_TITLE}, limits by the other sessions (95 %)", ""]
    lines.append(f"{'session':>9}{'s':>10}{'dof':>8}{'others':>10}{'limits':>12}")
    for row, session in enumerate(found.session.tolist()):
        numbers = (found.value[row], found.chart.others[row], found.chart.lower[row], found.chart.upper[row])
        own, others, low, high = (plain(float(value), decimals, SIGNS) for value in numbers)
        mark = "  outside" if row in found.chart.outside else ""
        limits = f"{low} … {high}" if math.isfinite(numbers[3]) else SIGNS.undetermined
        lines.append(
            f"{session + 1:>9}{own:>10}{found.freedom[row]:>8.0f}{others:>10}    {limits:<16}{mark}".rstrip()
        )
    return [*lines, "", *wrapped(_accepted(found), _WIDTH)]


def _unlike_lines(found: Deviations) -> list[str]:
    """Return standard deviations that are not of the same thing, each by itself."""
    decimals = decimals_of_column(found.value)
    return [
        _TITLE,
        "",
        f"{'session':>9}{'s':>10}{'dof':>8}",
        *(
            f"{number + 1:>9}{plain(float(value), decimals, SIGNS):>10}{freedom:>8.0f}"
            for number, value, freedom in zip(found.session, found.value, found.freedom, strict=True)
        ),
    ]


def _accepted(found: Deviations) -> str:
    same = found.homogeneity
    tested = ""
    if same is not None:
        by = f"F({same.freedom[0]:g}, {same.freedom[1]:g})" if same.test == "F" else "Bartlett's statistic"
        p = probability_words(same.p_value)
        agree = "the sessions agree" if found.proposed else "the sessions do not agree"
        tested = f" {by} = {same.statistic:.2f}, {p}: {agree}."
    if not found.proposed:
        return f"No accepted standard deviation is proposed.{tested}"
    value = found.proposed_in_unit
    unit = SIGNS.arcsec if found.unit == "arcsec" else " µrad"
    return (
        f"Accepted standard deviation proposed: {plain(value, decimals_for(value) + 1, SIGNS)}{unit} with "
        f"{found.pooled_freedom:.0f} degrees of freedom.{tested}"
    )
