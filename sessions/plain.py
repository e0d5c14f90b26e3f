"""Values handed in by callers, made into the plain kinds that TOML and the record know."""

from __future__ import annotations

import operator
from collections.abc import Mapping
from datetime import UTC, datetime
from numbers import Real
from typing import Any

import numpy as np

from solver.refused import Refused


def whole(value: object, where: str) -> int:
    """Return a whole number of any library as an int; true and false are none."""
    try:
        if isinstance(value, bool | np.bool_):
            raise TypeError
        return operator.index(value)  # type: ignore[arg-type]
    except TypeError:
        raise Refused(f"{value!r} is not a whole number", where=where, remedy="give a whole number") from None


def number(value: object, where: str) -> float:
    """Return a number of any library as a float; true and false are none."""
    if isinstance(value, bool | np.bool_) or not isinstance(value, Real):
        raise Refused(f"{value!r} is not a number", where=where, remedy="give a number")
    try:
        return float(value)
    except OverflowError:
        raise Refused("the number is far too large", where=where, remedy="give a smaller one") from None


def text(value: str) -> str:
    """Return a text with its line ends as on Linux."""
    return value.replace("\r\n", "\n").replace("\r", "\n")


def plain(value: Any) -> Any:
    """Return a free value in the kinds that a TOML reader gives back."""
    if isinstance(value, np.ndarray | np.generic):
        return plain(value.tolist())
    if isinstance(value, str):
        return text(value)
    if isinstance(value, Mapping):
        return {key: plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [plain(item) for item in value]
    return value


def moment(time: datetime) -> datetime:
    """Return a time in whole seconds, with an offset from UTC in whole minutes as RFC 3339 has it."""
    time = time.replace(microsecond=0)
    offset = time.utcoffset()
    if offset is None:
        return time.astimezone()
    return time.astimezone(UTC) if offset.total_seconds() % 60 else time
