"""Numbers as JSON has them: what is not determined, or has no limit, is null."""

from __future__ import annotations

from collections.abc import Iterable
from math import isfinite
from typing import Any


def number(value: float | None) -> float | None:
    """Return a number, None where it is not finite or none."""
    return float(value) if value is not None and isfinite(value) else None


def numbers(values: Iterable[Any]) -> list[float | None]:
    """Return numbers, None for each that is not finite."""
    return [number(value) for value in values]


def plain(value: object) -> object:
    """Return a value as it is, None for a number that is not finite."""
    return number(value) if isinstance(value, float) else value
