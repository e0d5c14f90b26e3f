"""What to keep in mind when sessions are compared, in words."""

from __future__ import annotations

import numpy as np

from sessions.comparison_source import Source
from sessions.counted import verb_for
from sessions.same_circle import Which, identity, named

#: Degrees of freedom below which a standard deviation is itself hardly known.
_FEW = 4


def notices(sources: tuple[Source, ...], which: tuple[Which, ...]) -> tuple[str, ...]:
    """Return notices about the files, the circles, and how their uncertainties came about."""
    found = [notice for source in sources for notice in source.notices]
    found += _same(sources) + _order(sources) + _days(sources) + _names(sources, which) + _budgets(sources)
    for source in sources:
        found += _uncertainty(source)
    return tuple(found)


def _order(sources: tuple[Source, ...]) -> list[str]:
    first = sources[0]
    return [
        f"{source.file} is of an earlier date than {first.file}, with which it is compared."
        for source in sources[1:]
        if source.date is not None and first.date is not None and source.date < first.date
    ]


def _same(sources: tuple[Source, ...]) -> list[str]:
    """Say where two files hold the same readings: a copy is no second measurement."""
    first = sources[0].analysis.cells
    return [
        f"{source.file} holds the very readings of {sources[0].file}: no second measurement."
        for source in sources[1:]
        if first.value.size and np.array_equal(source.analysis.cells.value, first.value)
    ]


def _days(sources: tuple[Source, ...]) -> list[str]:
    return [
        f"{source.file} was read from {source.span[0]:%Y-%m-%d} to {source.span[1]:%Y-%m-%d}; the mean time counts."
        for source in sources
        if source.span and source.span[0].date() != source.span[1].date()
    ]


def _budgets(sources: tuple[Source, ...]) -> list[str]:
    """Say where the uncertainties beside each other are not of one kind."""
    without = [source.file for source in sources if source.budget is None]
    if not without or len(without) == len(sources):
        return []
    verb = verb_for(len(without), "have")
    return [f"{' and '.join(without)} {verb} no uncertainty budget: U is of type A there."]


def _names(sources: tuple[Source, ...], which: tuple[Which, ...]) -> list[str]:
    circles = [source.circle(place) for source, place in zip(sources, which, strict=True)]
    return [
        f"{source.file} calls its {place} circle {named(circle)}, {sources[0].file} {named(circles[0])}: "
        "they are compared as chosen."
        for source, place, circle in zip(sources[1:], which[1:], circles[1:], strict=True)
        if identity(circle) != identity(circles[0]) or circle.kind != circles[0].kind
    ]


def _uncertainty(source: Source) -> list[str]:
    if not source.freedom > 0:
        return [
            f"{source.file} has no degree of freedom and no accepted standard deviation, so its uncertainty is not "
            "determined."
        ]
    if not source.analysis.deviation > 0:
        return [f"The residuals of {source.file} are all zero, so its uncertainty is not determined."]
    if source.analysis.deviation_accepted:
        return [f"The uncertainty of {source.file} is from its accepted standard deviation."]
    if source.freedom < _FEW:
        return [
            f"{source.file} has few degrees of freedom ({source.freedom:g}): its standard deviation is hardly known, "
            "and the tests are rough."
        ]
    return []
