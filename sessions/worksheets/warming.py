"""Warm-up: a reading every minute until the drift of a run is small."""

from __future__ import annotations

from math import inf

import numpy as np

from sessions.bench_time import Pace
from sessions.counted import freedom_words
from sessions.header import Header
from sessions.worksheets.share import allowed, slip, unit_key, unit_sign
from sessions.worksheets.sheet import (
    LOOK_AT,
    Answers,
    Column,
    Field,
    Item,
    Outcome,
    Trace,
    Verdict,
    Worksheet,
    judge,
)
from sessions.worksheets.words import exact, known, number, plain, round_down, stated
from solver.coverage import USUAL_PROBABILITY
from solver.warm_up import Drift, drift

_LATEST = 15
_MOST = 600
_LEAST = 5


def _items(header: Header, answers: Answers) -> tuple[Item, ...]:
    unit, factor = unit_sign(header), header.instrument.arcsec_per_unit
    minutes = answers.get("interval_min", 1.0)
    return (
        Field("interval_min", "From one to the next", "min", default=1.0, above=0, most=120),
        Field(
            "run_min",
            "How long a run takes",
            "min",
            "proposed: the steps of the plan at 75 s each",
            default=_run_minutes(header),
            above=0,
            most=10000,
        ),
        Field(
            "latest",
            "Judged by the latest",
            hint=f"readings, {_LEAST} or more",
            default=_LATEST,
            least=_LEAST,
            most=_MOST,
            whole=True,
        ),
        Field(
            f"limit_{unit_key(header)}",
            "Limit, drift of a run",
            unit,
            f"proposed: half of it either way makes {number(allowed(header), '″', 2)}",
            default=round_down(2 * allowed(header) / factor),
            above=0,
            remembered=False,
        ),
        Column(
            "warm_up",
            f"reading_{unit_key(header)}",
            "minute",
            tuple(round(i * minutes, 6) for i in range(_MOST)),
            lambda minute: f"Reading at {plain(minute)} min",
            unit,
            "touch nothing; the mirror stands still",
            open=True,
            least=_LEAST,
            every=60 * minutes,
            range=inf if header.instrument.range is None else header.instrument.range,
        ),
    )


def _run_minutes(header: Header) -> float:
    pace, design = Pace(), header.design
    cell = pace.cell(design.repeats)
    return float(max(1, round(len(design.steps) * cell / 60)))


def _judged(answers: Answers) -> tuple[Drift, np.ndarray, np.ndarray]:
    minute, read = answers.column("warm_up")
    latest = int(answers.fields["latest"])
    return drift(minute[-latest:], read[-latest:]), minute, read


def _lines(header: Header, found: Drift, run: float, minutes: np.ndarray) -> tuple[tuple[str, str], ...]:
    unit = unit_sign(header)
    change, wide = found.over(run, USUAL_PROBABILITY)
    rate = found.fit.expanded(found.slope_uncertainty, USUAL_PROBABILITY)
    used = len(found.fit.residual)
    lines = [
        ("Drift of a run", stated(change, wide, unit)),
        ("Of a minute", stated(found.slope, rate, unit)),
        ("Judged by", f"the latest {used} of {len(minutes)} readings"),
    ]
    if found.fit.degrees_of_freedom:
        scatter = number(found.fit.standard_deviation, unit, 2)
        lines.append(("Scatter", f"s {scatter}, {freedom_words(found.fit.degrees_of_freedom)}"))
    apart = found.fit.apart(least=slip(header))
    if apart is not None:
        at = float(minutes[len(minutes) - used + apart])
        lines.append((LOOK_AT, f"the reading at {plain(at)} min: it does not go with the others"))
    return tuple(lines)


def _trace(found: Drift, minute: np.ndarray, read: np.ndarray, unit: str) -> Trace:
    used = len(found.fit.residual)
    line = np.linspace(minute[-used], minute[-1], 100)
    fitted = found.level + found.slope * (line - minute[-1])
    return Trace(minute, read - read[0], line, fitted - read[0], unit, "min")


def _preview(header: Header, answers: Answers) -> Outcome:
    if len(answers.columns.get("warm_up", {})) < 3:
        return Outcome()
    found, minute, read = _judged(answers)
    unit = unit_sign(header)
    lines = _lines(header, found, answers.fields["run_min"], minute)
    return Outcome(lines=lines, trace=_trace(found, minute, read, unit))


def _work(header: Header, answers: Answers) -> Outcome:
    found, minute, read = _judged(answers)
    unit, factor = unit_sign(header), header.instrument.arcsec_per_unit
    run, limit = answers.fields["run_min"], answers.fields[f"limit_{unit_key(header)}"]
    change, wide = found.over(run, USUAL_PROBABILITY)
    verdict = judge(abs(change), wide, limit)
    todo = {
        Verdict.PASSES: "The instrument is warm. Record, and go on.",
        Verdict.FAILS: "Still drifting. Keep reading, or come back in half an hour; look for draughts, sun and lamps.",
        Verdict.OPEN: "Within the limit, but its uncertainty is not. Keep reading, and judge by more of the latest.",
    }[verdict]
    shown = exact(limit, unit)
    lines = _lines(header, found, run, minute)
    return Outcome(
        verdict,
        f"Drift of a run of {plain(run)} min {stated(change, wide, unit)}, limit {shown}.",
        todo,
        (lines[0], ("Limit", shown), *lines[1:]),
        known(
            drift_of_a_run_arcsec=change * factor,
            drift_expanded_uncertainty_arcsec=wide * factor,
            slope_arcsec_per_min=found.slope * factor,
            slope_standard_uncertainty_arcsec_per_min=found.slope_uncertainty * factor,
            degrees_of_freedom=found.fit.degrees_of_freedom,
            readings_judged=len(found.fit.residual),
        ),
        trace=_trace(found, minute, read, unit),
    )


WARMING = Worksheet(
    name="warm-up",
    title="Warm-up",
    purpose="a reading every minute until the drift is small",
    steps=(
        "Switch everything on, face the mirror, and leave the bench alone.",
        "Type a reading every minute; the bell says when the next one is due.",
        "Record when it passes. It may be left off anywhere from the fifth reading on.",
    ),
    caution="The console carries mains voltage: do not cover its vents, keep it dry. Never look into the beam of a "
    "laser source. Local rules and the makers' instructions come first.",
    items=_items,
    work=_work,
    preview=_preview,
)
