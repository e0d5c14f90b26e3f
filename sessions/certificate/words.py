"""Sentences of a certificate that follow from the session: method, traceability, uncertainty, decision rule."""

from __future__ import annotations

from sessions.budget import Budget
from sessions.certificate.details import Details, Reference
from sessions.certificate.numbers import counted
from sessions.header import Circle, Design, Header
from solver.budget import Line


def circle_words(circle: Circle | None) -> str:
    """Return what a circle is, as "index table HT-04, serial number 0417"."""
    if circle is None:
        return ""
    name = f"{circle.kind} {circle.name}".strip()
    return f"{name}, serial number {circle.serial}" if circle.serial else name


def method(header: Header, details: Details) -> tuple[str, ...]:
    """Return how it was done, in paragraphs."""
    design = header.design
    told = [_single(header) if design.closure == "single" else _dual(header), _runs(header), _solved(design)]
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
    return (
        f"The results are traceable to the radian by the full circle as natural standard: the {n} intervals of a "
        "circle sum to 2π rad (360°) without error, and the adjustment holds them to it. No other standard of angle is "
        "used. The scale of the instrument enters only in proportion to the small angles that are read. "
        + calibrated
    )


def uncertainty(budget: Budget, accepted: bool) -> str:
    """Return how the uncertainty was evaluated (JCGM 100, 7.2.3; ILAC-P14:09/2020, 5: memory)."""
    scatter = (
        "the standard deviation accepted beforehand, as the readings leave no degree of freedom"
        if accepted
        else "the standard deviation of the cells about the adjustment"
    )
    lines = (
        "and the lines of the budget below"
        if any(line.counted and line.assessed for line in budget.lines)
        else "(type A) alone: no further contribution was counted"
    )
    return (
        "The expanded uncertainty U is the combined standard uncertainty multiplied by the coverage factor k, which is "
        "the quantile of Student's t for the effective degrees of freedom (Welch-Satterthwaite), so that the interval "
        f"covers {100 * budget.probability:.4g} % of the values that could reasonably be attributed to the result. It "
        f"was evaluated after JCGM 100:2008 (GUM) from {scatter} {lines}. It says nothing of how the items may change "
        "later."
    )


def decision_rule(details: Details) -> str:
    """Return the rule by which the items are judged (ISO/IEC 17025:2017, 7.8.6; JCGM 106, 8.3; ILAC-G8)."""
    rule = (
        "Decided on the position errors "
        + from_words(details.reference)
        + " with the expanded uncertainty U as guard band: an item conforms if every error keeps within its tolerance "
        "by U or more, does not conform if any error exceeds it by more than U, and is not decided otherwise."
    )
    return f"{rule} {details.decision_rule}".strip()


def from_words(reference: Reference) -> str:
    """Return what position errors count from."""
    return "about the mean of the circle" if reference == "mean" else "from position 0"


def effect_words(line: Line) -> str:
    """Return how a line of the budget enters the results."""
    effect = line.effect
    match effect.kind:
        case "cell":
            words = "differs from cell to cell, averages down"
        case "position":
            words = "differs from position to position"
        case "constant":
            words = "the same at all positions, cancels"
        case "proportional":
            words = "proportional to the value"
        case "harmonic":
            times = "once" if effect.order == 1 else "twice" if effect.order == 2 else f"{effect.order} times"
            phase = "" if effect.phase is None else f", phase {effect.phase:g}°"
            words = f"{times} per turn{phase}"
        case "ramp":
            words = "grows round the circle"
        case "shape":
            words = "as given at each position"
    return words if effect.circle == "both" else f"{words}; {effect.circle} only"


def _dual(header: Header) -> str:
    design = header.design
    if design.arrangement == "face by face":
        moved = (
            "At each step the table was turned on by one position and the next face of the polygon came before the "
            "instrument, so that a reading is the difference of an error of either circle."
        )
    else:
        moved = (
            "The circles were stacked, with a mirror on top. At each step the lower was turned on by one position and "
            "the upper back by one, so that the mirror went on facing the instrument and a reading is the sum of an "
            "error of either circle."
        )
    return f"The two circles were calibrated against each other by circle closure. {moved}"


def _single(header: Header) -> str:
    n = header.design.positions
    return (
        f"The circle was calibrated by closure against one fixed angle of about 360°/{n}, not known beforehand: every "
        "interval was compared with it, and since the intervals of a circle sum to the full circle, both the intervals "
        "and the fixed angle follow."
    )


def _runs(header: Header) -> str:
    design = header.design
    if design.closure == "single":
        read = "each reading is one interval against the fixed angle"
    elif design.reading == "position":
        read = "the instrument was left alone throughout a run"
    else:
        read = (
            "the instrument was zeroed before every step, so that a reading is one interval against another"
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
        taken = (
            f"{counted(design.run_count, 'run')} round the circle were taken at {which} of the upper circle"
        )
    parts = [f"{taken}; {read}"]
    if design.direction == "forward and return":
        parts.append("every run was read forward and back")
    if design.reading == "position" and design.closing:
        parts.append("each run ended with a closing reading back at its start")
    if design.repeats > 1:
        parts.append(
            f"{counted(design.repeats, 'reading')} were planned at each setting without moving anything"
        )
    return "; ".join(parts) + "."


def _solved(design: Design) -> str:
    shared = {
        ("position", "none"): " with a constant for each run",
        ("position", "linear"): " with a constant and a linear drift for each run",
        ("interval", "linear"): " with a drift for each run",
    }.get((design.reading, design.drift), "")
    if design.closure == "single":
        shared = " with the fixed angle as an unknown"
    return (
        f"All readings were adjusted together by least squares{shared}, the mean of the readings at a setting counting "
        "once; the errors of a circle sum to zero. An error is the actual angle minus the nominal one, in the "
        "direction of rising numbers."
    )


def _listed(numbers: list[int]) -> str:
    if len(numbers) > 14:
        return f"{', '.join(map(str, numbers[:12]))}, … {numbers[-1]}"
    return ", ".join(map(str, numbers))
