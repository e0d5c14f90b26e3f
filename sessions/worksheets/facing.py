"""Mirror height and facing: the same return at all orientations."""

from __future__ import annotations

from math import nan

import numpy as np

from sessions.header import Header
from sessions.worksheets.round_table import angles, determined, towards
from sessions.worksheets.share import allowed, unit_key, unit_sign
from sessions.worksheets.sheet import Answers, Column, Field, Item, Outcome, Verdict, Worksheet, judge
from sessions.worksheets.words import degrees, exact, known, number, plain, round_down, small
from solver.facing import effect_of_nod, nod_for_effect
from solver.levelling import effect_of_tilt
from solver.once_per_turn import once_per_turn

_DONE = {1: "done", 0: "not done"}
_ROLL = 10.0


def _items(header: Header, answers: Answers) -> tuple[Item, ...]:
    roll = answers.get("roll_arcmin", _ROLL)
    nod = nod_for_effect(allowed(header), roll)
    # A proposal beyond what any instrument sees is none.
    proposed = round_down(min(nod, 600.0) / header.instrument.arcsec_per_unit)
    return (
        Field(
            "height_set",
            "Beam amid the mirror",
            hint="shade the mirror from above and below: the return fades alike",
            options=_DONE,
            remembered=False,
        ),
        Field(
            "roll_arcmin",
            "Roll of the instrument",
            "′",
            "about its line of sight, as well as you know it",
            default=_ROLL,
            least=0,
            most=600,
        ),
        Field(
            "orientations",
            "How many orientations",
            hint="2 to 24, equally spaced round the turn",
            default=4,
            least=2,
            most=24,
            whole=True,
        ),
        Field(
            f"limit_{unit_key(header)}",
            "Limit of the spread",
            unit_sign(header),
            f"proposed: with this roll it makes {number(allowed(header), '″', 2)} of the angle",
            default=proposed,
            above=0,
            remembered=False,
        ),
        Column(
            "height",
            f"return_{unit_key(header)}",
            "angle_deg",
            angles(answers.get("orientations", 4)),
            lambda angle: f"Return at {degrees(angle)}",
            unit_sign(header),
            "its height, across the direction that is calibrated",
        ),
    )


def _lines(
    header: Header, angle: np.ndarray, read: np.ndarray, roll: float
) -> tuple[tuple[tuple[str, str], ...], dict[str, object]]:
    unit, factor = unit_sign(header), header.instrument.arcsec_per_unit
    spread = float(np.ptp(read))
    high, low = (degrees(float(angle[index])) for index in (int(read.argmax()), int(read.argmin())))
    effect = effect_of_nod(spread * factor, roll)
    lines = [
        ("Spread", f"{number(spread, unit)}, highest at {high}, lowest at {low}"),
        ("Effect on the angle", f"{small(effect)} with {plain(roll)}′ of roll (spread × sin roll)"),
    ]
    results = known(spread_arcsec=spread * factor, effect_on_angle_arcsec=effect)
    stacked = header.design.closure == "dual" and header.design.arrangement == "counter-rotating"
    if len(angle) > 3 and stacked:
        turn = once_per_turn(angle, read * factor)
        second = effect_of_tilt(turn.amplitude)
        lines.append(
            (
                "Between the axes",
                f"{number(turn.amplitude, '″')}, which makes {small(second)} twice a turn"
                + (f"; high towards {towards(turn)}" if determined(turn) else ""),
            )
        )
        results |= known(between_axes_arcsec=turn.amplitude)
    return tuple(lines), results


def _preview(header: Header, answers: Answers) -> Outcome:
    angle, read = answers.column("height")
    if len(angle) < 2:
        return Outcome()
    return Outcome(lines=_lines(header, angle, read, answers.get("roll_arcmin", nan))[0])


def _work(header: Header, answers: Answers) -> Outcome:
    angle, read = answers.column("height")
    unit = unit_sign(header)
    limit = answers.fields[f"limit_{unit_key(header)}"]
    lines, results = _lines(header, angle, read, answers.fields["roll_arcmin"])
    spread = float(np.ptp(read))
    height_set = answers.fields["height_set"] == 1
    verdict = judge(spread, 0.0, limit) if height_set else Verdict.FAILS
    if verdict is Verdict.PASSES:
        todo = "Leave the mirror as it is and go on with the polarity and scale."
    elif not height_set:
        todo = "Bring instrument or mirror to one height first, then type 1 there."
    else:
        todo = (
            "Look for dirt between the circles and for a mirror that is not clamped flat; square the mirror to "
            "the upper's face, or reduce the roll of the instrument. Then read again."
        )
    return Outcome(
        verdict,
        f"The return spreads over {number(spread, unit)} at {len(angle)} orientations, limit {exact(limit, unit)}.",
        todo,
        (lines[0], ("Limit", exact(limit, unit)), *lines[1:]),
        results,
    )


FACING = Worksheet(
    name="mirror height and facing",
    title="Mirror height and facing",
    purpose="the same return at all orientations",
    steps=(
        "Bring the mirror to the height of the instrument, square to its line of sight.",
        "Turn the lower to each orientation and set the mirror back to face the instrument.",
        "Type the height of the return: what the instrument shows across the calibrated direction.",
    ),
    caution="Never look into the beam of a laser source, nor into its reflection. Fingers out of the gap when "
    "lowering. Local rules and the makers' instructions come first.",
    items=_items,
    work=_work,
    preview=_preview,
)
