"""Levelling: the tilt of the axis from an electronic level that turns with the table."""

from __future__ import annotations

import numpy as np

from sessions.header import Header
from sessions.worksheets.round_table import angles, determined, expanded, residuals, towards, trace
from sessions.worksheets.share import allowed
from sessions.worksheets.sheet import Answers, Column, Field, Item, Outcome, Verdict, Worksheet, judge
from sessions.worksheets.words import degrees, exact, known, nearest_degree, number, round_down, small, stated
from solver.levelling import effect_of_tilt, rise, tilt_for_effect, tilt_of_rise
from solver.once_per_turn import once_per_turn

_UNITS = {1: "arc seconds", 2: "µm/m"}
_SIGNS = {1: ("″", "level_arcsec"), 2: ("µm/m", "level_um_per_m")}


def _items(header: Header, answers: Answers) -> tuple[Item, ...]:
    sign, key = _SIGNS[int(answers.get("level_unit", 1))]
    return (
        Field("level_unit", "The level shows", default=1, options=_UNITS),
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
            "limit_arcsec",
            "Limit of the tilt",
            "″",
            f"proposed: it makes {number(allowed(header), '″', 2)} of the angle (tilt²/4)",
            default=round_down(tilt_for_effect(allowed(header))),
            above=0,
            remembered=False,
        ),
        Column(
            "level",
            key,
            "angle_deg",
            angles(answers.get("angles", 8)),
            lambda angle: f"Level at {degrees(angle)}",
            sign,
            "turn the table there, let the level settle",
        ),
    )


def _tilt(angle: np.ndarray, read: np.ndarray, unit: int) -> tuple[Outcome, float, float]:
    """Return lines on the tilt, the tilt and its expanded uncertainty, arc seconds."""
    if unit == 2:
        read = np.array([tilt_of_rise(float(value)) for value in read])
    turn = once_per_turn(angle, read)
    wide = expanded(turn)
    effect = effect_of_tilt(turn.amplitude)
    lines = (
        ("Tilt of the axis", stated(turn.amplitude, wide, "″")),
        ("High towards", towards(turn)),
        ("Effect on the angle", f"{small(effect)} at most, twice a turn (tilt²/4)"),
        *residuals(turn, angle, "″"),
    )
    low = (turn.direction + 180) % 360
    raised = (
        f"Raise the side at {nearest_degree(low)} by {number(rise(turn.amplitude), 'µm')} for each metre between "
        "the feet (angles count from where the plus end of the level pointed first, the way the table turns), "
        "then read again."
        if determined(turn)
        else "The direction is lost in the scatter: let the level settle longer and read again."
    )
    results = known(
        tilt_arcsec=turn.amplitude,
        tilt_standard_uncertainty_arcsec=turn.amplitude_uncertainty,
        high_towards_deg=turn.direction,
        direction_standard_uncertainty_deg=turn.direction_uncertainty,
        residual_standard_deviation_arcsec=turn.fit.standard_deviation,
        degrees_of_freedom=turn.fit.degrees_of_freedom,
        effect_on_angle_arcsec=effect,
    )
    drawing = trace(turn, angle, read, "″")
    return Outcome(None, "", raised, lines, results, trace=drawing), turn.amplitude, wide


def _preview(header: Header, answers: Answers) -> Outcome:  # noqa: ARG001
    angle, read = answers.column("level")
    if len(angle) < 3:
        return Outcome()
    so_far, _, _ = _tilt(angle, read, int(answers.fields["level_unit"]))
    return Outcome(lines=so_far.lines, trace=so_far.trace)


def _work(header: Header, answers: Answers) -> Outcome:  # noqa: ARG001
    angle, read = answers.column("level")
    found, tilt, wide = _tilt(angle, read, int(answers.fields["level_unit"]))
    limit = answers.fields["limit_arcsec"]
    verdict = judge(tilt, wide, limit)
    todo = {
        Verdict.PASSES: "Leave the feet alone and go on with the centring.",
        Verdict.FAILS: found.todo,
        Verdict.OPEN: "Within the limit, but its uncertainty is not: read more angles, or let the level settle "
        "longer.",
    }[verdict]
    return Outcome(
        verdict,
        f"Tilt of the axis {stated(tilt, wide, '″')}, limit {exact(limit, '″')}.",
        todo,
        (*found.lines[:2], ("Limit", exact(limit, "″")), *found.lines[2:]),
        found.results,
        trace=found.trace,
    )


LEVELLING = Worksheet(
    name="levelling",
    title="Levelling",
    purpose="the axis upright, from an electronic level that turns along",
    steps=(
        "Stand the electronic level on the table, near the axis; it stays there and turns along.",
        "Turn the table to each angle by rising numbers, from where the level points first, and type what it "
        "shows. Its zero drops out.",
        "The level must show plus where its plus end is high.",
    ),
    caution="The level's console carries mains voltage: dry hands, no open cover. Keep the teeth engaged except "
    "when stepping. Local rules and the makers' instructions come first.",
    items=_items,
    work=_work,
    preview=_preview,
)
