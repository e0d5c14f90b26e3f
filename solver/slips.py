"""What slip of the hand or the eye would explain a value."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

SlipName = Literal["sign", "decimal", "digits", "dropped digit", "doubled digit", "neighbour"]

#: How often each slip is made among slips that have a name, and how often an error has none. Judgement, from no
#: source: it settles close calls only, for a slip that fits is some ten times likelier than one that does not.
COMMON: dict[SlipName, float] = {
    "sign": 0.30,
    "decimal": 0.20,
    "digits": 0.20,
    "dropped digit": 0.10,
    "doubled digit": 0.10,
    "neighbour": 0.10,
}
UNEXPLAINED = 0.10

#: Share of decimal slips by which digits are lost.
LOST = 0.02

#: Standard deviations within which a corrected value fits.
FITS = 3.0

#: A slip is offered if it is likelier than this, all slips and an error without a name considered.
OFFERED = 0.5


@dataclass(frozen=True, slots=True)
class Slip:
    """A slip that would explain a value.

    Parameters
    ----------
    name : str
        Name of the slip.
    value : float
        What would have been typed.
    probability : float
        How likely, against the other slips and an error that none of them explains.
    """

    name: SlipName
    value: float
    probability: float


def explain(
    typed: float,
    predicted: float,
    deviation: float,
    *,
    resolution: float | None = None,
    neighbours: Sequence[tuple[float, float]] = (),
    text: str | None = None,
) -> Slip | None:
    """Find the slip that explains a value which does not fit.

    Each slip is worked backwards to what would have been meant, and weighed by how well that fits and by how many
    ways the slip could have gone. An error without a name could have any size up to about its own. So a slip that
    fits only because it could have become nearly anything is not offered.

    Parameters
    ----------
    typed : float
        The value, in the unit of the instrument, as all that follow.
    predicted, deviation : float
        What was expected and the standard deviation of a good reading about it.
    resolution : float, optional
        Readings are multiples of it.
    neighbours : sequence of (float, float)
        Values of neighbouring settings, with standard deviations: what would have been read there.
    text : str, optional
        The value as typed, if it is known; else it is written out both short and with all decimals.

    Returns
    -------
    Slip or None
        None where no slip fits, or none is likelier than not.
    """
    if not (np.isfinite(predicted) and np.isfinite(deviation)) or deviation <= 0:
        return None
    error = abs(typed - predicted)
    weights: dict[tuple[SlipName, float], float] = {}
    expected = _rounded(predicted, resolution)
    for name, meant, share, slack in _origins(typed, resolution, text):
        # Where digits were lost, what was meant lies anywhere within the slack: take the likeliest.
        value = min(max(expected, meant - slack), meant + slack) if slack else meant
        distance = abs(value - predicted) / deviation
        if distance <= FITS and abs(value - typed) > FITS * deviation:
            width = float(np.hypot(deviation, slack / np.sqrt(3)))
            weight = COMMON[name] * share * _density(abs(meant - predicted) / width) / width
            weights[name, value] = weights.get((name, value), 0.0) + weight
    for value, scatter in neighbours:
        if np.isfinite(value) and scatter > 0 and abs(typed - value) <= FITS * scatter:
            weight = COMMON["neighbour"] / len(neighbours) * _density(abs(typed - value) / scatter) / scatter
            weights["neighbour", expected] = weights.get(("neighbour", expected), 0.0) + weight
    if not weights:
        return None
    total = sum(weights.values()) + UNEXPLAINED / (2 * error)
    name, value = max(weights, key=lambda key: weights[key])
    # One value by several slips is offered under the likeliest; one slip with several values with the best.
    likely = sum(weight for key, weight in weights.items() if name in key or value in key) / total
    return Slip(name, value, float(likely)) if likely > OFFERED else None


def _density(distance: float) -> float:
    return float(np.exp(-0.5 * distance**2) / np.sqrt(2 * np.pi))


def _rounded(value: float, resolution: float | None) -> float:
    if not resolution:
        return value
    return float(_number(f"{round(value / resolution) * resolution:.{decimals(resolution)}f}"))


def decimals(resolution: float) -> int:
    """Return the decimals that a multiple of `resolution` is written with, at most 9."""
    return next((k for k in range(9) if abs(resolution * 10**k - round(resolution * 10**k)) < 1e-6), 9)


def _number(text: str) -> float:
    return float(text) + 0.0


def _written(typed: float, resolution: float | None, text: str | None) -> set[str]:
    """Return the digits and point of a value as it may have been typed, without a sign."""
    if text is not None:
        return {text.strip().lstrip("+-\u2212").replace(",", ".")}
    short = np.format_float_positional(abs(typed), precision=9, trim="-")
    if not resolution or not _multiple(typed, resolution):
        return {short}
    return {short, f"{abs(typed):.{decimals(resolution)}f}"}


def _origins(
    typed: float, resolution: float | None, text: str | None
) -> Iterator[tuple[SlipName, float, float, float]]:
    """Yield what may have been meant: slip, value, the share of that slip that leads to what was typed, slack."""
    sign = -1.0 if typed < 0 else 1.0
    seen: set[tuple[str, float]] = set()
    yield "sign", -typed + 0.0, 1.0, 0.0
    for written in sorted(_written(typed, resolution, text)):
        for name, meant, share in _meant(written):
            if not meant or meant == ".":
                continue
            value = sign * _number(meant)
            if value != typed and (name, value) not in seen and _multiple(value, resolution):
                seen.add((name, value))
                yield name, value, share, 0.0
    if resolution and _multiple(typed, resolution):
        # The point too far left, and what then lay below the resolution left out.
        for shift in (1, 2):
            yield "decimal", typed * 10**shift, LOST, resolution * 10**shift / 2


def _multiple(value: float, resolution: float | None) -> bool:
    return not resolution or abs(value / resolution - round(value / resolution)) < 1e-4


def _meant(written: str) -> Iterator[tuple[SlipName, str, float]]:
    """Yield the texts from which a slip leads to `written`, with the share of such slips that do."""
    point = written.find(".")
    digits = written.replace(".", "")
    places = len(digits) - (len(written) - 1 - point if point >= 0 else 0)
    for shift, share in ((1, 0.3), (2, 0.15), (3, 0.05)):
        yield "decimal", _pointed(digits, places + shift), share
        yield "decimal", _pointed(digits, places - shift), share
    pairs = [
        (i, j)
        for j in range(len(digits))
        for i in range(j)
        # Nobody means a number that begins with a nought before other figures.
        if digits[i] != digits[j] and not (i == 0 and digits[j] == "0" and places > 1)
    ]
    near = sum(j - i == 1 for i, j in pairs)
    for i, j in pairs:
        swapped = list(digits)
        swapped[i], swapped[j] = swapped[j], swapped[i]
        # Nine swaps of ten are of neighbours.
        share = 0.9 / near if j - i == 1 else 0.1 / (len(pairs) - near)
        yield "digits", _pointed("".join(swapped), places), share
    for i in range(len(digits) + 1):
        for digit in "0123456789":
            more = digits[:i] + digit + digits[i:]
            share = 1 / len(more)
            # A digit lost before the point, or after it.
            if i <= places:
                yield "dropped digit", _pointed(more, places + 1), share
            if i >= places:
                yield "dropped digit", _pointed(more, places), share
    for i in range(1, len(digits)):
        # A key struck twice gives two figures side by side, with no point between.
        if digits[i] == digits[i - 1] and i != places:
            less = digits[:i] + digits[i + 1 :]
            yield "doubled digit", _pointed(less, places - (i < places)), 1 / len(less)


def _pointed(digits: str, places: int) -> str:
    """Return digits with the point after the first `places` of them."""
    if places <= 0:
        return "0." + "0" * -places + digits
    if places >= len(digits):
        return digits + "0" * (places - len(digits))
    return digits[:places] + "." + digits[places:]
