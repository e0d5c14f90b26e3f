"""A comparison as plain data, for `compare --json`."""

from __future__ import annotations

from typing import Any

import numpy as np

from sessions.comparison import LEVEL, Comparison, Offer, Pair, Part
from sessions.deviations import Deviations
from sessions.json_values import number, numbers
from solver.comparison import WholeTest
from solver.history import Drift
from solver.one_changed import OneChanged


def comparison_table(comparison: Comparison, *further: Comparison) -> dict[str, Any]:
    """Return the comparison: arc seconds, sessions counted from 0, positions in the first session's numbers.

    What is not determined is null, and so are degrees of freedom without limit. Comparisons of further circles of the
    same sessions stand under "further", and count for "attention".
    """
    first = comparison.parts[0]
    circle = first.circle
    return {
        "format": "fullturn comparison",
        "version": 1,
        "attention": any(each.attention for each in (comparison, *further)),
        "circle": {"kind": circle.kind, "name": circle.name, "serial": circle.serial},
        "positions": len(first.index),
        "angles": comparison.angle.tolist(),
        "sessions": [_session(part) for part in comparison.parts],
        "comparisons": [_pair(pair, comparison.parts[0]) for pair in comparison.pairs],
        "agreement": None if comparison.agreement is None else _whole(comparison.agreement),
        "drift": None if comparison.drift is None else _drift(comparison.drift),
        "no_drift": comparison.no_drift,
        "standard_deviations": _deviations(comparison.deviations),
        "notices": list(comparison.notices),
        "further": [comparison_table(each) for each in further],
    }


def _session(part: Part) -> dict[str, Any]:
    source, measured = part.source, part.measured
    return {
        "file": source.file,
        "title": source.header.title,
        "date": None if source.date is None else source.date.isoformat(timespec="seconds"),
        "circle": part.which,
        "positions": source.positions,
        "compared": part.index.tolist(),
        "turned": part.turn.positions,
        "reversed": part.turn.reversed,
        "position_error": numbers(measured.error),
        "standard_uncertainty": numbers(measured.standard),
        "expanded_uncertainty": numbers(measured.expanded),
        "expanded_from": "type A" if measured.budget is None else "budget",
        "standard_deviation": number(measured.deviation),
        "standard_deviation_accepted": source.analysis.deviation_accepted,
        "degrees_of_freedom": number(measured.freedom),
    }


def _pair(pair: Pair, first: Part) -> dict[str, Any]:
    change = pair.change
    return {
        "session": pair.session,
        "difference": numbers(change.difference),
        "standard_uncertainty": numbers(change.standard),
        "effective_degrees_of_freedom": numbers(change.freedom),
        "expanded_uncertainty": numbers(change.expanded),
        "e_n": numbers(change.e_n),
        "beyond": first.index[change.beyond].tolist(),
        "expected_beyond": number(change.expected_beyond),
        **_whole(change.whole),
        "one_changed": None if pair.one is None else _one(pair.one, first),
        "turn_offered": None if pair.offer is None else _offer(pair.offer),
    }


def _one(one: OneChanged, first: Part) -> dict[str, Any]:
    return {
        "position": int(first.index[one.index]),
        "difference": number(one.change),
        "expanded_uncertainty": number(one.expanded),
        "others": _whole(one.others),
    }


def _whole(whole: WholeTest) -> dict[str, Any]:
    return {
        "chi_squared": number(whole.chi_squared),
        "degrees_of_freedom": whole.rank,
        "f": number(whole.f),
        "f_scale": number(whole.scale),
        "f_denominator_degrees_of_freedom": number(whole.freedom),
        "p_value": number(whole.p_value),
        "significant": whole.significant(LEVEL) if np.isfinite(whole.p_value) else None,
    }


def _offer(offer: Offer) -> dict[str, Any]:
    found = offer.found
    return {
        "turned": found.turn.positions,
        "reversed": found.turn.reversed,
        "correlation": number(found.correlation),
        "p_value": found.p_value,
        "as_turned": _whole(offer.whole),
    }


def _drift(drift: Drift) -> dict[str, Any]:
    return {
        "per_year": numbers(drift.per_year),
        "standard_uncertainty": numbers(drift.standard),
        "effective_degrees_of_freedom": numbers(drift.freedom),
        "expanded_uncertainty": numbers(drift.expanded),
        **_whole(drift.whole),
        "rest": None if drift.rest is None else _whole(drift.rest),
    }


def _deviations(found: Deviations) -> dict[str, Any]:
    limits, same = found.chart, found.homogeneity
    return {
        "sessions": found.session.tolist(),
        "standard_deviation": numbers(found.value),
        "degrees_of_freedom": numbers(found.freedom),
        "pooled_from_others": numbers(limits.others),
        "lower_limit": numbers(limits.lower),
        "upper_limit": numbers(limits.upper),
        "p_value": numbers(limits.p_value),
        "homogeneity": None
        if same is None
        else {
            "test": same.test,
            "statistic": number(same.statistic),
            "degrees_of_freedom": numbers(same.freedom),
            "p_value": number(same.p_value),
        },
        "unit": found.unit,
        "not_of_the_same_thing": found.unlike,
        "accepted_sd": number(found.proposed_in_unit) if found.proposed else None,
        "accepted_sd_dof": number(found.pooled_freedom) if found.proposed else None,
    }
