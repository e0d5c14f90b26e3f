"""A line of the budget as it is typed into a form: every field checked, each complaint beside its field."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, fields
from typing import TypeVar, cast

from sessions.budget_lines import NOT_YET
from sessions.fields import LARGEST
from sessions.form_values import positive, whole
from sessions.typed import read_number
from solver.budget import Distribution, Kind, Line
from solver.effects import Effect, EffectKind, Touched
from solver.refused import Refused

_Value = TypeVar("_Value")


@dataclass(frozen=True, slots=True)
class LineForm:
    """What stands in the fields, as text."""

    name: str = ""
    kind: str = "B"
    figure: str = ""
    given: str = "half-width"
    distribution: str = "rectangular"
    freedom: str = ""
    relative: str = ""
    sensitivity: str = "1"
    effect: str = "position"
    order: str = "1"
    phase: str = ""
    shape: str = ""
    circle: str = "both"
    counted: str = "yes"
    source: str = ""


@dataclass(frozen=True, slots=True)
class CheckedLine:
    """The line that a form makes, or what is wrong with it by field."""

    line: Line | None
    wrong: dict[str, str] = field(default_factory=dict)


NAMES: tuple[str, ...] = tuple(each.name for each in fields(LineForm))


def form_of(line: Line) -> LineForm:
    """Return the form that makes this line."""
    half = line.standard_uncertainty is None
    figure = line.half_width if half else line.standard_uncertainty
    relative = None if line.relative_uncertainty is None else round(100 * line.relative_uncertainty, 10)
    return LineForm(
        name=line.name,
        kind=line.kind,
        figure=_text(figure),
        given="half-width" if half else "standard uncertainty",
        distribution=line.distribution,
        freedom=_text(line.degrees_of_freedom),
        relative=_text(relative),
        sensitivity=_text(line.sensitivity),
        effect=line.effect.kind,
        order=str(line.effect.order),
        phase=_text(line.effect.phase),
        shape=" ".join(_text(value) for value in line.effect.shape),
        circle=line.effect.circle,
        counted="yes" if line.counted else "no",
        source=line.source,
    )


def applies(form: LineForm) -> frozenset[str]:
    """Return the fields that mean something, as the others stand."""
    gone = set()
    if form.given == "standard uncertainty":
        gone.add("distribution")
    if form.effect != "harmonic":
        gone |= {"order", "phase"}
    if form.effect != "shape":
        gone.add("shape")
    return frozenset(NAMES) - gone


def check_line(form: LineForm, positions: int) -> CheckedLine:
    """Read the form of a line of a circle with so many positions."""
    wrong: dict[str, str] = {}

    def read(name: str, reader: Callable[[str], _Value], empty: _Value) -> _Value:
        text = getattr(form, name).strip()
        if not text or name not in applies(form):
            return empty
        try:
            return reader(text)
        except Refused as refused:
            wrong[name] = refused.what
            return empty

    if not form.name.strip():
        wrong["name"] = "say what it is"
    figure = read("figure", _share if form.effect == "proportional" else _not_negative, None)
    freedom, relative = read("freedom", positive, None), read("relative", _not_negative, None)
    if freedom is not None and relative is not None:
        wrong["relative"] = "one of the two"
    shape: tuple[float, ...] = read("shape", lambda text: _numbers(text, positions), tuple[float, ...]())
    if form.effect == "shape" and not shape and "shape" not in wrong:
        wrong["shape"] = f"{positions} numbers"
    order = read("order", lambda text: whole(text, 1, positions), 1)
    phase = read("phase", _number, None)
    sensitivity = read("sensitivity", _number, 1.0)
    if wrong:
        return CheckedLine(None, wrong)
    half = form.given == "half-width"
    return CheckedLine(
        Line(
            name=form.name.strip(),
            kind=cast("Kind", form.kind),
            distribution=cast("Distribution", form.distribution),
            half_width=figure if half else None,
            standard_uncertainty=None if half else figure,
            degrees_of_freedom=freedom,
            relative_uncertainty=None if relative is None else relative / 100,
            sensitivity=sensitivity,
            effect=Effect(cast("EffectKind", form.effect), cast("Touched", form.circle), order, phase, shape),
            counted=form.counted == "yes",
            # What was said while there was no figure is no source of one.
            source="" if figure is not None and form.source.strip() == NOT_YET else form.source.strip(),
        )
    )


def read_probability(text: str) -> float:
    """Read a coverage probability in percent.

    Raises
    ------
    Refused
        For a number that is none.
    """
    value = read_number(text.strip().removesuffix("%"))
    if not 50 <= value < 100:
        raise Refused("a coverage probability in percent, from 50 to below 100")
    return round(value / 100, 12)


def _number(text: str) -> float:
    value = read_number(text)
    if not abs(value) <= LARGEST:
        raise Refused("out of all proportion")
    return value


def _not_negative(text: str) -> float:
    value = _number(text)
    if value < 0:
        raise Refused("0 or more, or left empty")
    return value


def _share(text: str) -> float:
    """Read a part of the value, as 0.001 or 0.1 %."""
    if text.strip().endswith("%"):
        return _not_negative(text.strip().removesuffix("%")) / 100
    return _not_negative(text)


def _numbers(text: str, count: int) -> tuple[float, ...]:
    values = tuple(_number(word) for word in text.replace(";", " ").split())
    if len(values) != count:
        raise Refused(f"{count} numbers, one a position; these are {len(values)}")
    return values


def _text(value: float | None) -> str:
    if value is None:
        return ""
    text = f"{value:.12f}".rstrip("0").rstrip(".")
    return text if float(text) == value else repr(value)
