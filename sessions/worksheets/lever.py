"""Polarity and scale of the instrument by the sine principle."""

from __future__ import annotations

from math import inf, isfinite, isnan, nan, sin

from sessions.counted import freedom_words
from sessions.header import Header
from sessions.worksheets.share import slip, unit_key, unit_sign
from sessions.worksheets.sheet import (
    LOOK_AT,
    Answers,
    Column,
    Field,
    Item,
    Outcome,
    Proposal,
    Verdict,
    Worksheet,
    judge,
)
from sessions.worksheets.words import known, number, plain, round_down, stated
from solver.coverage import USUAL_PROBABILITY, coverage_factor
from solver.radian import ARCSEC_PER_RADIAN
from solver.sine_lever import Lever, LeverTest, lever_test

_WAYS = {1: "as stepped", 2: "the other way"}


def _items(header: Header, answers: Answers) -> tuple[Item, ...]:
    pairs = int(answers.get("pairs", 3))
    length = answers.get("lever_mm", nan)
    instrument = header.instrument
    reach = nan if instrument.range is None else instrument.range * instrument.arcsec_per_unit
    largest = length * sin(reach / ARCSEC_PER_RADIAN)
    hint = (
        f"or the difference of two; up to {number(round_down(largest), 'mm', 2)} stays in the range"
        if largest > 0
        else "the gauge block, or the difference of two"
    )
    return (
        Field("lever_mm", "Length of the lever", "mm", "from its axis to the block", above=0, most=1e5),
        Field("lever_uncertainty_mm", "its standard uncertainty", "mm", default=0.05, least=0, most=1e3),
        Field("block_mm", "Block or difference", "mm", hint, above=0, most=1e4),
        Field("block_uncertainty_mm", "its standard uncertainty", "mm", default=0.0002, least=0, most=10),
        Field("lift_way", "Lift turns the mirror", hint="as the lower circle is stepped", options=_WAYS),
        Field("pairs", "How many lifts", hint="1 to 20", default=3, least=1, most=20, whole=True),
        Field(
            "limit_percent",
            "Limit of the scale error",
            "%",
            "1 % of a reading of 2″ is 0.02″",
            default=1.0,
            above=0,
            most=100,
            remembered=False,
        ),
        Column(
            "lifts",
            f"reading_{unit_key(header)}",
            "half_lift",
            tuple(float(half) for half in range(2 * pairs)),
            lambda half: f"Lift {int(half) // 2 + 1}, " + ("on the block" if half % 2 else "lever down"),
            unit_sign(header),
            "wait until the reading is steady",
            range=inf if instrument.range is None else instrument.range,
        ),
    )


def _test(header: Header, answers: Answers) -> tuple[Lever, LeverTest]:
    lever = Lever(
        answers.fields["lever_mm"],
        answers.fields["lever_uncertainty_mm"],
        answers.fields["block_mm"],
        answers.fields["block_uncertainty_mm"],
    )
    half, read = answers.column("lifts")
    count = int((half % 2).sum())
    factor = header.instrument.arcsec_per_unit
    resolution = (header.instrument.resolution or 0.0) * factor
    return lever, lever_test(
        lever, read[0 : 2 * count : 2] * factor, read[1 : 2 * count : 2] * factor, resolution
    )


def _angle(header: Header, lever: Lever) -> list[tuple[str, str]]:
    wide = lever.angle_uncertainty * float(coverage_factor(inf, USUAL_PROBABILITY))
    lines = [("Angle of the lever", f"{stated(lever.angle, wide, '″')} (asin h/L)")]
    reach = header.instrument.range
    if reach is not None and lever.angle > reach * header.instrument.arcsec_per_unit:
        lines.append((LOOK_AT, "the block: it lifts beyond the instrument's range"))
    return lines


def _lines(header: Header, test: LeverTest, polarity: int) -> tuple[tuple[str, str], ...]:
    lines = [
        ("The reading changes", number(test.change, "″", 4)),
        ("Scale, angle/reading", stated(test.scale, _expanded(test), "")),
        ("Polarity", {1: "+1", -1: "−1"}.get(polarity, "not determined")),
    ]
    if test.fit.degrees_of_freedom:
        scatter = number(test.fit.standard_deviation, "″", 2)
        lines.append(("Scatter of a lift", f"s {scatter}, {freedom_words(test.fit.degrees_of_freedom)}"))
    apart = test.fit.apart(least=slip(header) * header.instrument.arcsec_per_unit)
    if apart is not None:
        lines.append((LOOK_AT, f"lift {apart + 1}: it does not go with the others"))
    return tuple(lines)


def _expanded(test: LeverTest) -> float:
    if not isfinite(test.scale_uncertainty):
        return nan
    return test.scale_uncertainty * float(coverage_factor(test.effective_freedom, USUAL_PROBABILITY))


def _polarity(answers: Answers, test: LeverTest) -> int:
    return test.sign * (1 if answers.fields["lift_way"] == 1 else -1)


def _preview(header: Header, answers: Answers) -> Outcome:
    fields = answers.fields
    half, _ = answers.column("lifts")
    if not {"lever_mm", "block_mm", "lift_way"} <= set(fields) or not fields["block_mm"] < fields["lever_mm"]:
        return Outcome()
    if not (half % 2).any() or list(half) != list(range(len(half))):
        lever = Lever(
            fields["lever_mm"],
            fields["lever_uncertainty_mm"],
            fields["block_mm"],
            fields["block_uncertainty_mm"],
        )
        return Outcome(lines=tuple(_angle(header, lever)))
    lever, test = _test(header, answers)
    lines = _lines(header, test, _polarity(answers, test))
    return Outcome(lines=(*_angle(header, lever), *lines))


def _work(header: Header, answers: Answers) -> Outcome:
    lever, test = _test(header, answers)
    limit = answers.fields["limit_percent"]
    polarity = _polarity(answers, test)
    verdict, todo = _judged(test, polarity, limit)
    lines = _lines(header, test, polarity)
    scale, sign = lines[1][1], lines[2][1]
    return Outcome(
        verdict,
        f"Scale {scale}, polarity {sign}, limit 1 ± {plain(limit)} %.",
        todo,
        (*lines[1:3], ("Limit", f"1 ± {plain(limit)} %"), *_angle(header, lever), lines[0], *lines[3:]),
        known(
            lever_angle_arcsec=lever.angle,
            lever_angle_standard_uncertainty_arcsec=lever.angle_uncertainty,
            change_arcsec=test.change,
            change_standard_uncertainty_arcsec=test.change_uncertainty,
            scale=test.scale,
            scale_standard_uncertainty=test.scale_uncertainty,
            effective_degrees_of_freedom=test.effective_freedom,
            **({"polarity": polarity} if polarity else {}),
        ),
        _proposals(header, polarity),
    )


def _judged(test: LeverTest, polarity: int, limit: float) -> tuple[Verdict, str]:
    """Return the verdict and what to do now; the limit is in percent."""
    if isnan(test.change_uncertainty):
        return Verdict.OPEN, "One lift does not tell how well it repeats: lift at least twice."
    if not polarity:
        return (
            Verdict.FAILS,
            "The reading hardly follows the lever: check that it looks at the mirror, or take a larger block.",
        )
    verdict = judge(abs(test.scale - 1) * 100, _expanded(test) * 100, limit)
    return verdict, {
        Verdict.PASSES: "Go on with the usable range.",
        Verdict.FAILS: "Check both lengths and the block's seat; then have the instrument's scale adjusted, or "
        "read it in a range where its scale is known.",
        Verdict.OPEN: "Within the limit, but its uncertainty is not: more lifts, a larger block or a lever whose "
        "length is better known.",
    }[verdict]


def _proposals(header: Header, polarity: int) -> tuple[Proposal, ...]:
    if polarity in (0, header.instrument.polarity):
        return ()
    sign = "+1" if polarity > 0 else "−1"
    return (
        Proposal(
            f"Set the polarity of the instrument to {sign}?",
            (("instrument.polarity", polarity),),
            f"the sine lever shows polarity {sign}",
        ),
    )


LEVER = Worksheet(
    name="polarity and scale",
    title="Polarity and scale by the sine lever",
    purpose="which way the reading goes, and how far",
    steps=(
        "Fix mirror and lever together so that lifting the lever's end turns the mirror.",
        "Type the reading with the lever down, then on the gauge block, and so on in turn.",
        "The circles stay as they are; only the lever moves.",
    ),
    caution="Never look into the beam of a laser source. The console carries mains voltage. Lower the lever onto "
    "the block with fingers out of the gap. Local rules and the makers' instructions come first.",
    items=_items,
    work=_work,
    preview=_preview,
)
