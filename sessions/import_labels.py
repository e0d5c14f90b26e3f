"""Labels of rows and columns: steps, angles and the closing reading; runs, offsets, directions and repeats."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

from sessions.design import RunDirection

StepKind = Literal["step", "angle", "closing"]

_STEP = re.compile(
    r"(?:step|position|pos\.?|t\s*=)?\s*(\d{1,6})\s*(\(?clos(?:ing|ure)\)?(?:\s+reading)?)?", re.IGNORECASE
)
_ANGLE = re.compile(r"(\d{1,3}(?:[.,]\d+)?)\s*(?:°|deg|degrees?)", re.IGNORECASE)
_BARE_ANGLE = re.compile(r"\d{1,3}[.,]\d+")
_CLOSING = re.compile(r"\(?clos(?:ing|ure)\)?(?:\s+reading)?", re.IGNORECASE)
_RUN = re.compile(r"\brun\s*(?:no\.?\s*|#\s*)?(\d{1,6})", re.IGNORECASE)
_OFFSET = re.compile(r"\b(?:offset|k)\s*[=:]?\s*(\d{1,6})(?![\d.,°])", re.IGNORECASE)
_REPEAT = re.compile(r"\b(?:repeat|rep\.?|reading)\s*#?\s*(\d{1,3})", re.IGNORECASE)
_FORWARD = re.compile(r"\b(?:forwards?|fwd)\b|↓", re.IGNORECASE)
_RETURN = re.compile(r"\b(?:returns?|back|backwards?|reversed?)\b|↑", re.IGNORECASE)
_STEP_HEADING = re.compile(r"step|position|\bpos\b|angle|degree|\bdeg\b|°", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class StepLabel:
    """A row's label: a step, an angle in degrees, or the closing reading (`value` is then its step, or nan)."""

    kind: StepKind
    value: float


@dataclass(frozen=True, slots=True)
class RunLabel:
    """What a column's label says; None for what it does not. `plain` is a bare number, `angle` one in degrees."""

    run: int | None = None
    offset: int | None = None
    plain: int | None = None
    angle: float | None = None
    direction: RunDirection | None = None
    repeat: int | None = None

    @property
    def says_something(self) -> bool:
        """Whether anything was understood."""
        return self != RunLabel()


@dataclass(frozen=True, slots=True)
class Corner:
    """What the heading of the first column says: that it names the steps, and perhaps more."""

    steps: bool = False
    angles: bool = False
    offsets: bool = False
    positions: int | None = None
    interval: bool = False
    single: bool = False


def step_label(text: str) -> StepLabel | None:
    """Read a row's label; None for any other text."""
    if _CLOSING.fullmatch(text):
        return StepLabel("closing", float("nan"))
    found = _STEP.fullmatch(text)
    if found:
        return StepLabel("closing" if found[2] else "step", float(found[1]))
    found = _ANGLE.fullmatch(text)
    if found or _BARE_ANGLE.fullmatch(text):
        return StepLabel("angle", float((found[1] if found else text).replace(",", ".")))
    return None


def run_label(text: str) -> RunLabel:
    """Read a column's label; empty for any other text."""
    if re.fullmatch(r"\d{1,6}", text):
        return RunLabel(plain=int(text))
    angle = _ANGLE.fullmatch(text)
    if angle:
        return RunLabel(angle=float(angle[1].replace(",", ".")))
    run, offset, repeat = (pattern.search(text) for pattern in (_RUN, _OFFSET, _REPEAT))
    direction: RunDirection | None = None
    if _FORWARD.search(text):
        direction = "forward"
    elif _RETURN.search(text):
        direction = "return"
    return RunLabel(
        run=int(run[1]) if run else None,
        offset=int(offset[1]) if offset else None,
        direction=direction,
        repeat=int(repeat[1]) if repeat else None,
    )


def corner(text: str) -> Corner:
    """Read the heading of the first column."""
    positions = re.search(r"(\d{1,6})\s*positions", text, re.IGNORECASE)
    return Corner(
        steps=bool(_STEP_HEADING.search(text)),
        angles=bool(re.search(r"angle|degree|\bdeg\b|°", text, re.IGNORECASE)),
        offsets=bool(re.search(r"\boffset", text, re.IGNORECASE)),
        positions=int(positions[1]) if positions else None,
        interval=bool(re.search(r"\binterval", text, re.IGNORECASE)),
        single=bool(re.search(r"\bsingle\b", text, re.IGNORECASE)),
    )
