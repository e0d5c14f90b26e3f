"""Numbers in words: rounded by their uncertainty, with the sign of their unit."""

from __future__ import annotations

from math import isfinite, isnan

_UNKNOWN = "not determined"
#: Arc seconds that no instrument shows.
_SEEN = 0.0001
_TIGHT = ("″", "°", "′")


def stated(value: float, expanded: float, unit: str) -> str:
    """Return a value with its expanded uncertainty, as "12.3″ ± 1.1″".

    Notes
    -----
    Two significant digits of the uncertainty, and the value to the same place (JCGM 100, 7.2.6).
    """
    if isnan(value):
        return _UNKNOWN
    if not isfinite(expanded):
        return f"{number(value, unit)}, uncertainty not determined"
    if expanded == 0:
        return f"{number(value, unit)} ± {number(0.0, unit)}"
    decimals = max(0, 1 - int(f"{expanded:.1e}".partition("e")[2]))
    return f"{_fixed(value, decimals)}{_sign(unit)} ± {_fixed(expanded, decimals)}{_sign(unit)}"


def number(value: float, unit: str = "", digits: int = 3) -> str:
    """Return a number with so many significant digits, never in powers of ten, and its unit."""
    if isnan(value):
        return _UNKNOWN
    if not isfinite(value):
        return "without end"
    exponent = int(f"{value:.{digits - 1}e}".partition("e")[2]) if value else 0
    decimals = min(max(0, digits - 1 - exponent), 9)
    return _fixed(value, decimals) + _sign(unit)


def small(effect: float) -> str:
    """Return an effect in arc seconds; what nobody could see is only said to be below that."""
    return number(effect, "″", 2) if effect >= _SEEN else f"below {plain(_SEEN)}″"


def plain(value: float) -> str:
    """Return a number as it was typed."""
    text = f"{value:.10f}".rstrip("0").rstrip(".")
    return text.replace("-", "−") if float(text) == value else repr(value).replace("-", "−")


def exact(value: float, unit: str) -> str:
    """Return a number as it was typed, with its unit."""
    return plain(value) + _sign(unit)


def degrees(value: float) -> str:
    """Return an angle as "137°", "51.43°"."""
    return f"{value:.2f}".rstrip("0").rstrip(".") + "°"


def nearest_degree(value: float) -> str:
    """Return a direction in whole degrees, 360 being 0."""
    return _UNKNOWN if isnan(value) else f"{round(value) % 360}°"


def round_down(value: float, digits: int = 2) -> float:
    """Return a positive value rounded down to so many significant digits, for a limit to propose."""
    text = f"{value:.{digits - 1}e}"
    if float(text) > value:
        mantissa, _, exponent = text.partition("e")
        lower = round(float(mantissa) - 10.0 ** (1 - digits), digits - 1)
        text = f"{lower:.{digits - 1}f}e{exponent}"
    return float(text)


def known(**results: object) -> dict[str, object]:
    """Return results for the record without those that are not determined."""
    return {
        key: value for key, value in results.items() if not (isinstance(value, float) and not isfinite(value))
    }


def _fixed(value: float, decimals: int) -> str:
    text = f"{value:.{decimals}f}"
    if float(text) == 0:
        text = text.lstrip("-")
    return text.replace("-", "−")


def _sign(unit: str) -> str:
    return unit if unit in _TIGHT or not unit else f" {unit}"
