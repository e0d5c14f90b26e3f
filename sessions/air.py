"""The state of the air, as it is typed and as it is said: temperature, pressure, humidity."""

from __future__ import annotations

from dataclasses import dataclass

from sessions.entries import Conditions
from sessions.typed import read_number
from solver.refused import Refused

EXAMPLE = "20.1 1013 45"

#: Name, unit, and between which values it lies wherever a circle is calibrated (common practice, no source).
ASKED = (
    ("temperature", "°C", -20.0, 60.0),
    ("pressure", "hPa", 500.0, 1100.0),
    ("humidity", "%", 0.0, 100.0),
)


@dataclass(frozen=True, slots=True)
class Air:
    """Temperature (°C), pressure (hPa) and humidity (%), None where not known, and a remark."""

    temperature: float | None
    pressure: float | None
    humidity: float | None
    remark: str = ""


def read_air(typed: str) -> Air:
    """Read temperature, pressure and humidity, typed with blanks between, "-" for unknown; the rest is a remark.

    Raises
    ------
    Refused
        If there are not three numbers or "-", if a number lies where no workshop's air is, or if nothing is known.
    """
    words = typed.split(maxsplit=3)
    if len(words) < len(ASKED):
        raise Refused("three values are wanted", remedy=f"as {EXAMPLE}, with - for unknown")
    values = [_value(word, *asked) for word, asked in zip(words, ASKED, strict=False)]
    remark = words[3] if len(words) > 3 else ""
    if not remark and all(value is None for value in values):
        raise Refused("nothing is known", remedy=f"type at least one value, as {EXAMPLE}")
    return Air(values[0], values[1], values[2], remark)


def wrong_air(typed: str) -> str:
    """Return what is wrong with a typed state of the air, "" if nothing."""
    try:
        read_air(typed)
    except Refused as refused:
        return str(refused)
    return ""


def _value(word: str, name: str, unit: str, lowest: float, highest: float) -> float | None:
    if word in ("-", "−"):
        return None
    value = read_number(word)
    if not lowest <= value <= highest:
        raise Refused(
            f"a {name} of {value:g} {unit} is outside {lowest:g} … {highest:g} {unit}",
            remedy=f"type temperature, pressure, humidity, as {EXAMPLE}",
        )
    return value


def conditions_words(entry: Conditions) -> str:
    """Return what was noted of the surroundings."""
    parts = [
        f"{value:g} {unit}"
        for value, unit in ((entry.temperature, "°C"), (entry.pressure, "hPa"), (entry.humidity, "% r. h."))
        if value is not None
    ]
    return "; ".join(part for part in (", ".join(parts), entry.remark) if part)
