"""All checks, topic by topic."""

from __future__ import annotations

from sessions.selfcheck import (
    agreement,
    closure_factors,
    geometry,
    gum,
    harmonics,
    latin_square,
    offset_sets,
    outliers,
    quantiles,
    several_outliers,
    sums,
)
from sessions.selfcheck.check import Check

_TOPICS = (
    latin_square,
    sums,
    closure_factors,
    offset_sets,
    outliers,
    several_outliers,
    quantiles,
    gum,
    harmonics,
    agreement,
    geometry,
)


def all_checks() -> tuple[Check, ...]:
    """Return every check, in the order of the record.

    Raises
    ------
    Refused
        Where a table of published values was not installed.
    """
    return tuple(check for topic in _TOPICS for check in topic.checks())
