"""Usable range against working distance and aperture."""

from __future__ import annotations

from math import inf

from sessions.header import Header
from sessions.worksheets.share import unit_sign
from sessions.worksheets.sheet import Answers, Field, Item, Outcome, Proposal, Verdict, Worksheet
from sessions.worksheets.words import known, number, plain, round_down
from solver.working_distance import Sight

_LEAST_NEEDED = 10.0


def _items(header: Header, answers: Answers) -> tuple[Item, ...]:
    aperture = answers.get("objective_mm", 0.0)
    return (
        Field("objective_mm", "Diameter of the objective", "mm", "clear aperture", above=0, most=1e4),
        Field(
            "beam_mm",
            "Diameter of the beam",
            "mm",
            "where it leaves; mostly that of the objective",
            default=aperture or None,
            above=0,
            most=1e4,
        ),
        Field(
            "mirror_mm",
            "Width of the mirror",
            "mm",
            "its smallest, seen from the instrument",
            above=0,
            most=1e4,
        ),
        Field("distance_mm", "Working distance", "mm", "objective to mirror", above=0, most=1e6),
        Field(
            "light_percent",
            "Light that must return",
            "%",
            "half is common practice; ask the maker",
            default=50.0,
            above=0,
            most=99.9,
        ),
        Field(
            "needed_arcsec",
            "Largest angle in the work",
            "″",
            "turn of the mirror either way from the middle",
            default=_needed(header),
            above=0,
            most=36000,
            remembered=False,
        ),
    )


def _needed(header: Header) -> float:
    """Return twice the sum of the tolerances, at least 10″, as the mirror is never set quite to the middle."""
    circles = (header.lower, header.upper)
    total = sum(circle.tolerance or 0.0 for circle in circles if circle is not None)
    return max(_LEAST_NEEDED, round(2 * total, 3))


def _preview(header: Header, answers: Answers) -> Outcome:
    if len(answers.fields) < len(_items(header, answers)):
        return Outcome()
    return _work(header, answers)


def _work(header: Header, answers: Answers) -> Outcome:
    fields = answers.fields
    sight = Sight(fields["objective_mm"], fields["beam_mm"], fields["mirror_mm"], fields["distance_mm"])
    share = fields["light_percent"] / 100
    free, geometric = sight.turn(sight.free_shift), sight.turn(sight.shift_for(share))
    factor = header.instrument.arcsec_per_unit
    stated_range = inf if header.instrument.range is None else header.instrument.range * factor
    usable = min(geometric, stated_range)
    needed = fields["needed_arcsec"]
    verdict = Verdict.PASSES if needed <= usable else Verdict.FAILS
    farthest = sight.farthest(needed, share)
    lines = [
        ("Usable range", f"± {number(usable, '″')}"),
        ("By the light", f"± {number(geometric, '″')} with {plain(fields['light_percent'])} % of it left"),
        (
            "Without any loss",
            f"± {number(free, '″')}" if free else "the edge loses at once: the mirror fills the aperture",
        ),
        ("By the instrument", "not given" if stated_range == inf else f"± {number(stated_range, '″')}"),
        ("Farthest for the work", f"{number(farthest / 1000, 'm')}"),
    ]
    todo = (
        "Keep the distance. The farther the mirror, the smaller the range."
        if verdict is Verdict.PASSES
        else "Bring the mirror nearer, take a larger one, or face it better before each run."
        if geometric < needed
        else "The instrument itself does not reach: face the mirror better before each run."
    )
    return Outcome(
        verdict,
        f"Usable range ± {number(usable, '″')} at {plain(fields['distance_mm'])} mm, needed ± {plain(needed)}″.",
        todo,
        tuple(lines),
        known(
            usable_range_arcsec=usable,
            range_by_light_arcsec=geometric,
            range_without_loss_arcsec=free,
            farthest_mm=farthest,
        ),
        _proposals(header, usable / factor),
    )


def _proposals(header: Header, usable: float) -> tuple[Proposal, ...]:
    before = header.instrument.range
    offered = round_down(usable, 3)
    if before is not None and before <= offered * 1.01:
        return ()
    said = number(offered, unit_sign(header))
    return (
        Proposal(
            f"Set the range of the instrument to ± {said}?",
            (("instrument.range", offered),),
            "usable range at this working distance and aperture",
        ),
    )


DISTANCE = Worksheet(
    name="usable range",
    title="Usable range at the working distance",
    purpose="how far the mirror may turn before light is lost",
    steps=(
        "Measure the distance from the objective to the mirror.",
        "Look up the diameters of objective and beam; measure the mirror.",
        "Type them. The beam comes back displaced by twice the angle times the distance.",
    ),
    caution="Never look into the beam of a laser source. Measure with the beam off or covered. Local rules and "
    "the makers' instructions come first.",
    items=_items,
    work=_work,
    preview=_preview,
)
