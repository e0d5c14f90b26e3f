"""The form of a new session filled in as the newest one of the folder was planned."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from sessions.equipment import Circle
from sessions.header import Header
from sessions.new import FIELDS, Form
from sessions.newest import newest_first


def earlier_form(folder: Path) -> tuple[Form, str] | None:
    """Return the form that the newest real session of a folder comes of, and its file."""
    for session in newest_first(folder):
        return form_from(session.header), session.path.name
    return None


def filled_in(typed: Form, earlier: Form) -> Form:
    """Return a form in which every field that stands as it comes is as in an earlier one; what was typed stays."""
    usual = Form()
    untouched = [name for name in FIELDS if getattr(typed, name) == getattr(usual, name)]
    return replace(typed, **{name: getattr(earlier, name) for name in untouched})


def form_from(header: Header) -> Form:
    """Return the form that such a header comes of, without a title: that follows from the circles."""
    design, instrument = header.design, header.instrument
    single = design.closure == "single"
    plan = {"runs": str(len(design.offsets))} if single else {"offsets": ", ".join(map(str, design.offsets))}
    return Form(
        operator=header.operator,
        closure=design.closure,
        reading=design.reading,
        arrangement=design.arrangement,
        positions=str(design.positions),
        direction=design.direction,
        closing="yes" if design.closing else "no",
        repeats=str(design.repeats),
        drift=design.drift,
        **plan,
        **_circle("lower", header.lower),
        **_circle("upper", header.upper or Circle()),
        instrument_kind=instrument.kind,
        unit=instrument.unit,
        resolution=_text(instrument.resolution),
        range=_text(instrument.range),
        polarity=str(instrument.polarity),
        accepted_sd=_text(instrument.accepted_sd),
        accepted_sd_dof=_text(instrument.accepted_sd_dof),
    )


def _circle(which: str, circle: Circle) -> dict[str, str]:
    return {
        f"{which}_kind": circle.kind,
        f"{which}_name": circle.name,
        f"{which}_serial": circle.serial,
        f"{which}_tolerance": _text(circle.tolerance),
    }


def _text(value: float | None) -> str:
    return "" if value is None else f"{value:.12g}"
