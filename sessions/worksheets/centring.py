"""Centring of the upper on the lower: eccentricity from an indicator."""

from __future__ import annotations

from math import nan

import numpy as np

from sessions.header import Header
from sessions.worksheets.round_table import angles, determined, expanded, residuals, towards, trace
from sessions.worksheets.share import allowed
from sessions.worksheets.sheet import Answers, Column, Field, Item, Outcome, Verdict, Worksheet, judge
from sessions.worksheets.words import degrees, exact, known, nearest_degree, number, round_down, small, stated
from solver.centring import (
    eccentricity_for_effect,
    eccentricity_for_walk,
    effect_of_eccentricity,
    effect_of_walk,
)
from solver.once_per_turn import OncePerTurn, once_per_turn

_READ = {1: "at one place", 2: "by a mirror"}
_FLAT, _WIDE = 0.06, 30.0
#: µm beyond which no limit is proposed: by then the beam has other troubles. Common practice, no source.
_MOST_PROPOSED = 50.0


def _items(header: Header, answers: Answers) -> tuple[Item, ...]:
    upper = header.upper
    usual = 1 if upper is not None and upper.kind == "encoder" else 2
    by_mirror = answers.get("read_by", usual) == 2
    proposed, why = _proposed(header, answers, by_mirror)
    mirror = (
        Field(
            "mirror_flatness_um", "Flatness of the mirror", "µm", "its sag", default=_FLAT, least=0, most=100
        ),
        Field("mirror_mm", "Width of the mirror", "mm", default=_WIDE, above=0, most=1e4),
    )
    return (
        Field("read_by", "The upper is read", default=usual, options=_READ),
        Field(
            "diameter_mm", "Diameter of the circle", "mm", "where its teeth or lines are", above=0, most=1e5
        ),
        *(mirror if by_mirror else ()),
        Field(
            "angles",
            "How many angles",
            hint="4 to 24, equally spaced; 8 do well",
            default=8,
            least=4,
            most=24,
            whole=True,
        ),
        Field(
            "limit_um",
            "Limit of the eccentricity",
            "µm",
            why,
            default=round_down(proposed) if proposed > 0 else None,
            above=0,
            remembered=False,
        ),
        Column(
            "indicator",
            "indicator_um",
            "angle_deg",
            angles(answers.get("angles", 8)),
            lambda angle: f"Indicator at {degrees(angle)}",
            "µm",
            "turn until this angle of the lower stands at the indicator",
        ),
    )


def _proposed(header: Header, answers: Answers, by_mirror: bool) -> tuple[float, str]:
    """Return the limit to propose, µm, nan where the diameter is not known yet, and why that."""
    effect = allowed(header)
    if not by_mirror:
        diameter = answers.get("diameter_mm", nan)
        limit = eccentricity_for_effect(effect, diameter) if diameter > 0 else nan
        return limit, f"proposed: it makes {small(effect)} of the angle (412.53 × e/D)"
    flatness, width = answers.get("mirror_flatness_um", _FLAT), answers.get("mirror_mm", _WIDE)
    limit = eccentricity_for_walk(effect, flatness, width)
    if limit > _MOST_PROPOSED:
        return _MOST_PROPOSED, f"proposed; {small(effect)} needs {number(limit, 'µm', 2)} (8 × f × e/w²)"
    return limit, f"proposed: it makes {small(effect)} of the angle (8 × f × e/w²)"


def _effects(answers: Answers, eccentricity: float) -> tuple[float, str]:
    """Return the effect on the angle, arc seconds, and in words; nan while the diameter is missing."""
    diameter = answers.get("diameter_mm", nan)
    at_one_place = effect_of_eccentricity(eccentricity, diameter)
    if answers.fields["read_by"] == 1:
        return (
            at_one_place,
            f"{small(at_one_place)} at most (412.53 × e/D)" if diameter > 0 else "needs the diameter",
        )
    flatness, width = answers.fields["mirror_flatness_um"], answers.fields["mirror_mm"]
    walk = effect_of_walk(eccentricity, flatness, width)
    words = f"{small(walk)} at most, by the walk on the mirror (8 × f × e/w²)"
    if diameter > 0:
        words += f"; read at one place it were {small(at_one_place)} (412.53 × e/D)"
    return walk, words


def _lines(turn: OncePerTurn, angle: np.ndarray, effect: str) -> tuple[tuple[str, str], ...]:
    roundness = float(np.ptp(turn.fit.residual))
    return (
        ("Eccentricity", stated(turn.amplitude, expanded(turn), "µm")),
        ("Off towards", towards(turn)),
        ("Out-of-roundness", f"{number(roundness, 'µm')} left, highest to lowest"),
        ("Effect on the angle", effect),
        *residuals(turn, angle, "µm"),
    )


def _preview(header: Header, answers: Answers) -> Outcome:  # noqa: ARG001
    angle, read = answers.column("indicator")
    if len(angle) < 3:
        return Outcome()
    turn = once_per_turn(angle, read)
    lines = _lines(turn, angle, _effects(answers, turn.amplitude)[1])
    return Outcome(lines=lines, trace=trace(turn, angle, read, "µm"))


def _work(header: Header, answers: Answers) -> Outcome:  # noqa: ARG001
    angle, read = answers.column("indicator")
    limit = answers.fields["limit_um"]
    turn = once_per_turn(angle, read)
    wide = expanded(turn)
    verdict = judge(turn.amplitude, wide, limit)
    tap = (
        f"Turn until {nearest_degree(turn.direction)} of the lower stands at the indicator. Tap the upper there, on "
        f"the indicator's side, until it falls by {number(turn.amplitude, 'µm')}, half of its total of "
        f"{number(2 * turn.amplitude, 'µm')}. Then read again."
        if determined(turn)
        else "The direction is lost in the scatter: look for dirt or a dented rim, then read again."
    )
    todo = {
        Verdict.PASSES: "Tighten the upper and read one angle again: it must not have moved.",
        Verdict.FAILS: tap,
        Verdict.OPEN: "Within the limit, but its uncertainty is not: read more angles, or on a rounder rim.",
    }[verdict]
    effect, said = _effects(answers, turn.amplitude)
    lines = _lines(turn, angle, said)
    return Outcome(
        verdict,
        f"Eccentricity {stated(turn.amplitude, wide, 'µm')}, limit {exact(limit, 'µm')}.",
        todo,
        (*lines[:2], ("Limit", exact(limit, "µm")), *lines[2:]),
        known(
            eccentricity_um=turn.amplitude,
            eccentricity_standard_uncertainty_um=turn.amplitude_uncertainty,
            off_towards_deg=turn.direction,
            direction_standard_uncertainty_deg=turn.direction_uncertainty,
            indicator_total_um=2 * turn.amplitude,
            out_of_roundness_um=float(np.ptp(turn.fit.residual)),
            residual_standard_deviation_um=turn.fit.standard_deviation,
            degrees_of_freedom=turn.fit.degrees_of_freedom,
            effect_on_angle_arcsec=effect,
        ),
        trace=trace(turn, angle, read, "µm"),
    )


CENTRING = Worksheet(
    name="centring",
    title="Centring of the upper on the lower",
    purpose="both circles about one axis, by an indicator on the rim",
    steps=(
        "Stand the indicator on the base, its plunger against the centring rim of the upper.",
        "Turn the lower with the upper on it. At each angle of the lower that stands at the indicator, type what "
        "it shows. Its zero drops out.",
        "The indicator must rise when its plunger is pushed in.",
    ),
    caution="Tap, never knock, and hold the upper so that it cannot slide off. Fingers out of the gap. Keep the "
    "teeth engaged except when stepping. Local rules and the makers' instructions come first.",
    items=_items,
    work=_work,
    preview=_preview,
)
