"""Cleaning and seating: a list to confirm."""

from __future__ import annotations

from sessions.counted import counted
from sessions.header import Header
from sessions.worksheets.sheet import Answers, Field, Outcome, Verdict, Worksheet

_DONE = {1: "done", 0: "not done"}

_POINTS = (
    ("teeth_clean", "Teeth or tracks brushed", "no chips, no burrs, no lint"),
    ("faces_clean", "Seating faces wiped, dry", "both circles and the base"),
    ("engages", "Seats by its own weight", "no grit felt, no rock, no force"),
    ("mirror_clean", "Mirror clean and clamped", "without strain, but tight: it must not creep"),
    ("free", "Nothing pulls on the stack", "cables, hoses, clamps"),
    ("soaked", "All at room temperature", "over night for heavy circles"),
)


def _items(header: Header, answers: Answers) -> tuple[Field, ...]:  # noqa: ARG001
    return tuple(
        Field(key, label, hint=hint, options=_DONE, remembered=False) for key, label, hint in _POINTS
    )


def _work(header: Header, answers: Answers) -> Outcome:  # noqa: ARG001
    open_points = [label for key, label, _ in _POINTS if answers.fields[key] != 1]
    if not open_points:
        return Outcome(
            Verdict.PASSES,
            f"All {counted(len(_POINTS), 'point')} done.",
            "Go on with the levelling.",
            (("Done", f"all {len(_POINTS)}"),),
            {"points_open": 0},
        )
    return Outcome(
        Verdict.FAILS,
        f"{counted(len(open_points), 'point')} not done: {', '.join(open_points).lower()}.",
        "Do what is not done, then type 1 there.",
        tuple(("Not done", label) for label in open_points),
        {"points_open": len(open_points)},
    )


CLEANING = Worksheet(
    name="cleaning and seating",
    title="Cleaning and seating",
    purpose="nothing between the teeth, nothing that pulls",
    steps=(
        "Brush and wipe what touches, with what the maker allows, and let it dry.",
        "Lower the upper straight down, until it seats by its own weight.",
        "Answer each line with 1 for done or 0 for not done.",
    ),
    caution="Lift the stack with help, it is heavy. Fingers out of the gap when lowering. Keep solvents from "
    "flames and skin. Local rules and the makers' instructions come first.",
    items=_items,
    work=_work,
)
