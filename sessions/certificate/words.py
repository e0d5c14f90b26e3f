"""Sentences of a certificate that follow from the session: method, traceability, uncertainty, decision rule."""

from __future__ import annotations

from collections.abc import Sequence
from math import isfinite, isinf

from sessions.budget import Budget
from sessions.certificate.details import Details, Reference
from sessions.certificate.numbers import significant
from sessions.circle_words import Words, angle_words, circle_words
from sessions.counted import counted, freedom_words, verb_for
from sessions.equipment import Circle
from sessions.header import Header
from sessions.matrix import RunStep
from solver.budget import Line, enters

#: Offsets of one arc that are named.
_MOST_OFFSETS = 12


def identified(circle: Circle | None) -> str:
    """Return what a circle is, as "index table HT-04, serial number 0417"."""
    if circle is None:
        return ""
    name = f"{circle.kind} {circle.name}".strip()
    return f"{name}, serial number {circle.serial}" if circle.serial else name


def method(header: Header, details: Details, splits: Sequence[RunStep] = ()) -> tuple[str, ...]:
    """Return how it was done, in paragraphs; `splits` are the places from which a run has another constant."""
    design = header.design
    told = [_single(header) if design.closure == "single" else _dual(header), _runs(header, splits)]
    if design.arcs:
        told.append(_arcs(header))
    told.append(_solved(header, splits))
    if details.method:
        told.append(details.method)
    return tuple(told)


def traceability(header: Header, details: Details) -> str:
    """Return the statement of metrological traceability (ISO/IEC 17025:2017, 7.8.4.1 c and annex A)."""
    n = header.design.positions
    calibrated = (
        f"That scale is from its own calibration: {details.instrument_calibration}."
        if details.instrument_calibration
        else "The calibration that this scale is from is not filled in."
    )
    between = " and the ".join(
        f"{n} angles from face to face of the {words.item}"
        if words.place == "face"
        else f"{n} intervals of the {words.item}"
        for words in circle_words(header)
    )
    return (
        f"The results are traceable to the radian by the full circle as natural standard: the {between} "
        "each sum to 2π rad (360°) without error, and the adjustment holds them to it. No other standard of angle is "
        "used. The scale of the instrument enters only in proportion to the small angles that are read. "
        + calibrated
    )


def uncertainty(budget: Budget, deviation: float, accepted: bool, freedom: float) -> str:
    """Return how the uncertainty was evaluated (JCGM 100, 7.2.3; ILAC-P14:09/2020, 5: memory).

    Parameters
    ----------
    budget : Budget
        In force.
    deviation, freedom : float
        Standard deviation of a cell, arc seconds, nan where there is none, and its degrees of freedom.
    accepted : bool
        Whether it was accepted beforehand.
    """
    if not isfinite(deviation):
        return (
            "The uncertainty is not determined: the readings leave no degree of freedom, and no standard deviation "
            "was accepted beforehand."
        )
    known = "" if isinf(freedom) else f", {freedom_words(round(freedom))}"
    scatter = (
        f"the standard deviation of a cell accepted beforehand ({significant(deviation)}″{known}), since the readings "
        "leave no degree of freedom,"
        if accepted
        else "the standard deviation of the cells about the adjustment"
    )
    lines = (
        "and the lines of the budget"
        if any(line.counted and line.assessed for line in budget.lines)
        else "alone: no further contribution was counted"
    )
    return (
        "The expanded uncertainty U is the combined standard uncertainty multiplied by the coverage factor k, which is "
        "the quantile of Student's t for the effective degrees of freedom (Welch-Satterthwaite), so that the interval "
        f"covers {100 * budget.probability:.4g} % of the values that could reasonably be attributed to the result. It "
        f"was evaluated after JCGM 100:2008 (GUM) from {scatter} {lines}. It says nothing of how the items may change "
        "later."
    )


def reference_lines(budget: Budget) -> str:
    """Return how the lines of a budget enter the fixed angle of a single closure."""
    kinds = {line.effect.kind for line in budget.lines if enters(line, "lower")}
    if not kinds:
        return "from the scatter of the readings (type A) alone"
    told = "with the lines of the budget"
    if kinds & {"harmonic", "shape"}:
        told += "; those that only depend on the angle cancel round the circle"
    if kinds & {"position", "constant"}:
        told += "; those that all readings may share count in full"
    return told


def decision_rule(details: Details, decided: tuple[Words, ...], fine: bool = False) -> str:
    """Return the rule by which the items are judged (ISO/IEC 17025:2017, 7.8.6; JCGM 106, 8.3; ILAC-G8)."""
    errors = dict.fromkeys(f"{words.error}s {from_words(details.reference, words)}" for words in decided)
    rule = (
        f"Decided on the {' and the '.join(errors)}"
        + " with the expanded uncertainty U as guard band: an item conforms if every error keeps within its tolerance "
        "by U or more, does not conform if any error exceeds it by more than U, and is not decided otherwise."
    )
    if fine:
        apart = "The positions round the circle and those in fine steps are decided on apart"
        rule += f" {apart}; the item conforms if both do."
    return f"{rule} {details.decision_rule}".strip()


def from_words(reference: Reference, words: Words) -> str:
    """Return what errors count from."""
    return f"about {words.mean}" if reference == "mean" else f"from {words.place} 0"


def effect_words(line: Line, names: tuple[str, ...] = ("lower", "upper"), place: str = "position") -> str:
    """Return how a line of the budget enters the results of circles of these names, at positions or faces."""
    effect = line.effect
    match effect.kind:
        case "cell":
            words = "differs from cell to cell, averages down"
        case "position":
            words = f"differs from {place} to {place}"
        case "constant":
            words = f"the same at all {place}s, cancels"
        case "proportional":
            words = "proportional to the value"
        case "harmonic":
            times = "once" if effect.order == 1 else "twice" if effect.order == 2 else f"{effect.order} times"
            phase = "" if effect.phase is None else f", phase {effect.phase:g}°"
            words = f"{times} per turn{phase}"
        case "ramp":
            words = "grows round the circle"
        case "shape":
            words = f"as given at each {place}"
    if effect.circle == "both" or len(names) == 1:
        return words
    named = dict(zip(("lower", "upper"), names, strict=False))
    return f"{words}; {named.get(effect.circle, effect.circle)} only"


def _dual(header: Header) -> str:
    lower, upper = circle_words(header)
    together = f"The {lower.item} and the {upper.item} were calibrated against each other by circle closure."
    # What a reading of an interval is, is said where the zeroing is.
    each = header.design.reading == "position"
    if header.design.arrangement != "face by face":
        mirror = header.instrument.kind != "electronic level"
        stacked = "They were stacked, with a mirror on top." if mirror else "They were stacked."
        kept = "the mirror went on facing the instrument" if mirror else "the top kept its direction"
        total = " and a reading is the sum of an error of either" if each else ""
        return (
            f"{together} {stacked} At each step the lower was turned on by one position and the upper back by one, so "
            f"that {kept}{total}."
        )
    turned = f"At each step the {lower.item} was turned on by one position"
    if upper.place == "face":
        stood, what = f"The {upper.item} stood on the {lower.item}. ", "a face"
        turned += " and the next face came before the instrument"
    else:
        stood, what = "", f"the {upper.item}"
        turned += f", and the {upper.item} with it"
    total = (
        f", so that a reading is the difference of an error of the {lower.item} and one of {what}"
        if each
        else ""
    )
    return f"{together} {stood}{turned}{total}."


def _single(header: Header) -> str:
    n = header.design.positions
    [words] = circle_words(header)
    if words.place == "face":
        return (
            f"The polygon was calibrated by closure against one fixed angle of about 360°/{n}, not known beforehand: "
            "the angle from every face to the next was compared with it, and since these angles sum to the full "
            "circle, both they and the fixed angle follow."
        )
    return (
        f"The {words.item} was calibrated by closure against one fixed angle of about 360°/{n}, not known beforehand: "
        "every interval was compared with it, and since the intervals of a circle sum to the full circle, both the "
        "intervals and the fixed angle follow."
    )


def _runs(header: Header, splits: Sequence[RunStep]) -> str:
    design, words = header.design, circle_words(header)
    one = "angle from face to face" if words[-1].place == "face" else "interval"
    if design.closure == "single":
        read = f"each reading is one {one} against the fixed angle"
    elif design.reading == "position":
        read = "the instrument was left alone throughout a run"
        if splits:
            read += f", but for {_places(splits, 'before')}"
    else:
        read = f"the instrument was zeroed before every step, so that a reading is one {one} against " + (
            "another" if one == "interval" else f"an interval of the {words[0].item}"
        )
    if design.closure == "single":
        taken = f"It was read in {counted(len(design.offsets), 'run')} round the circle"
    else:
        offsets = sorted(set(design.offsets))
        which = (
            "all offsets"
            if len(offsets) == design.positions
            else f"{counted(len(offsets), 'offset')} ({_listed(offsets)}) of {design.positions}"
        )
        against = f" on the {words[0].item}" if words[1].place == "face" else ""
        both = ", forward and return in turn," if design.direction == "forward and return" else ""
        taken = (
            f"{counted(design.whole_runs, 'run')} round the circle {verb_for(design.whole_runs, 'were')} "
            f"taken{both} at {which} of the {words[1].item}{against}"
        )
    parts = [f"{taken}; {read}"]
    if header.instrument.polarity < 0:
        parts.append(f"the reading falls as the {words[0].item} steps on, which is allowed for")
    if design.reading == "position" and design.closing:
        parts.append("each run ended with a closing reading back at its start")
    if design.repeats > 1:
        parts.append(
            f"{counted(design.repeats, 'reading')} were planned at each setting without moving anything"
        )
    return "; ".join(parts) + "."


def _arcs(header: Header) -> str:
    design, words = header.design, circle_words(header)
    fine = design.fine
    offsets: dict[int, list[int]] = {}
    for arc in design.arcs:
        offsets.setdefault(arc.start, []).append(arc.offset)
    taken = []
    for start, shifts in sorted(offsets.items()):
        ends = f"from {angle_words(start, fine)} to {angle_words((start + design.subdivision) % fine, fine)}"
        count = counted(len(shifts) * design.ways, "run")
        shown = [angle_words(shift, fine) for shift in shifts]
        many = len(shown) > _MOST_OFFSETS
        at = ", ".join(shown[:_MOST_OFFSETS]) + (f", … {shown[-1]}" if many else "")
        taken.append(f"{ends} in {count} at {'offset' if len(shown) == 1 else 'offsets'} {at}")
    which = "an arc" if len(taken) == 1 else f"{len(taken)} arcs"
    return (
        f"Besides, {which} of the {words[0].item}, one interval long, {verb_for(len(taken), 'were')} read in "
        f"steps of {angle_words(1, fine)}: {'; '.join(taken)}. The offset is the position of the {words[1].item} when "
        f"the {words[0].item} would stand at 0°. These runs were solved together with those round the circle, in one "
        "adjustment."
    )


def _places(splits: Sequence[RunStep], word: str) -> str:
    return " and ".join(f"run {run} {word} step {step}" for run, step in splits)


def _solved(header: Header, splits: Sequence[RunStep]) -> str:
    design, words = header.design, circle_words(header)
    shared = {
        ("position", "none"): " with a constant for each run",
        ("position", "linear"): " with a constant and a linear drift for each run",
        ("interval", "linear"): " with a drift for each run",
    }.get((design.reading, design.drift), "")
    if design.closure == "single":
        shared = " with the fixed angle as an unknown"
    if splits and shared:
        shared += f", and others for {_places(splits, 'from')} on"
    if words[-1].place == "face":
        sums = "the errors of all faces sum to zero" + (
            f", and so do those of the {words[0].item}" if len(words) == 2 else ""
        )
        normal = " The angle of a face is that of its normal."
    else:
        whole = f" at its {design.positions} positions round the circle" if design.arcs else ""
        sums, normal = f"the errors of a circle{whole} sum to zero", ""
    return (
        f"All readings were adjusted together by least squares{shared}, the mean of the readings at a setting counting "
        f"once; {sums}. An error is the actual angle minus the nominal one, in the direction of rising numbers.{normal}"
    )


def _listed(numbers: list[int]) -> str:
    if len(numbers) > 14:
        return f"{', '.join(map(str, numbers[:12]))}, … {numbers[-1]}"
    return ", ".join(map(str, numbers))
