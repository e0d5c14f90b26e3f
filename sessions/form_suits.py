"""What suits what in the form of a new session: one choice brings others along unless these were made by hand."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import fields
from typing import cast

from sessions.design import MOST_POSITIONS
from sessions.form_values import whole
from sessions.new import Form
from solver.closure import Closure, ReadingMode
from solver.offsets import best_offsets
from solver.refused import Refused

_RUNS = 3


def by_hand_in(form: Form) -> frozenset[str]:
    """Return the fields of a form that are not as they come, which count as chosen."""
    usual = Form()
    return frozenset(
        entry.name for entry in fields(Form) if getattr(form, entry.name) != getattr(usual, entry.name)
    )


def changed(before: Form, now: Form) -> frozenset[str]:
    """Return the fields that differ."""
    return frozenset(
        entry.name for entry in fields(Form) if getattr(before, entry.name) != getattr(now, entry.name)
    )


def suited(form: Form, chosen: Iterable[str], by_hand: frozenset[str]) -> dict[str, str]:
    """Return what should change along with what was just chosen.

    Parameters
    ----------
    form : Form
        As it stands.
    chosen : iterable of str
        Fields just chosen or typed.
    by_hand : frozenset of str
        Fields that a person set at some time: these never change along.

    Returns
    -------
    dict of str to str
        New values by field: a polygon is read face by face and what is read face by face is a polygon; another number
        of positions has other good offsets.
    """
    along: dict[str, str] = {}
    chosen = set(chosen)
    if "upper_kind" in chosen:
        if form.upper_kind == "polygon":
            along["arrangement"] = "face by face"
        elif form.upper_kind != "encoder":
            along["arrangement"] = "counter-rotating"
    elif "arrangement" in chosen:
        if form.arrangement == "face by face" and form.upper_kind == "index table":
            along["upper_kind"] = "polygon"
        elif form.arrangement == "counter-rotating" and form.upper_kind == "polygon":
            along["upper_kind"] = "index table"
    if "positions" in chosen and form.closure == "dual":
        along |= _offsets(form)
    return {
        name: value for name, value in along.items() if name not in by_hand and value != getattr(form, name)
    }


def _offsets(form: Form) -> dict[str, str]:
    """Return good offsets for the number of positions typed, as far as it is one."""
    try:
        positions = whole(form.positions, 2, MOST_POSITIONS)
    except Refused:
        return {}
    closure = Closure(positions, reading=cast("ReadingMode", form.reading))
    offsets = best_offsets(closure, min(_RUNS, positions))
    return {"offsets": ", ".join(map(str, offsets))}
