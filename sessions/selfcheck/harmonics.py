"""Harmonics of errors round a circle."""

from __future__ import annotations

from functools import partial
from math import degrees, hypot

import numpy as np

from sessions.selfcheck.check import Check
from sessions.selfcheck.tables import column
from solver.adjust import adjust
from solver.cells import gather
from solver.closure import Closure, Floats
from solver.once_per_turn import OncePerTurn, once_per_turn
from solver.spectrum import spectrum

_TOPIC = "Harmonics"
_TWELVE = "an engineering-mathematics worked example, 12 points; recomputed with numpy.fft: its sine sums carry a slip"
_ENCODER = "Sensors 24 (2024) 1400, table 6: an encoder at 24 positions, read; recomputed with numpy.fft"

#: Cosine and sine parts of orders 1 to 6 of the twelve points.
_PARTS = (
    (1.255459161, 0.761442225),
    (-0.433333333, -0.404145188),
    (-0.35, -0.033333333),
    (-0.116666667, -0.433012702),
    (-0.505459161, 0.155224442),
    (0.058333333, 0.0),
)

#: Amplitudes of orders 1 to 12 of the encoder, arc seconds.
_FORWARD = "0.154522 0.154780 0.463364 0.650694 0.470998 0.365529 0.724919 2.601001 0.914855 0.327768 0.598980 0.508333"
_REVERSE = "0.635120 0.763982 0.388064 1.408974 0.144347 0.764217 0.071734 2.068732 0.201979 0.950335 0.270958 1.275000"


def checks() -> tuple[Check, ...]:
    """Return the checks of this topic."""
    angle, value = column("harmonic_12pt", "angle_deg"), column("harmonic_12pt", "y")

    def turn() -> OncePerTurn:
        return once_per_turn(angle, value)

    first = partial(
        Check, _TOPIC, source=_TWELVE, mark="recomputed", function="solver.once_per_turn.once_per_turn"
    )
    orders = partial(
        Check, _TOPIC, mark="recomputed", function="solver.spectrum.spectrum, solver.adjust.adjust"
    )
    return (
        first(
            "12 points: mean",
            expected={"": 2.491667},
            tolerance=5e-7,
            obtain=lambda: turn().mean,
        ),
        first(
            "12 points: once per turn",
            expected={"cosine": _PARTS[0][0], "sine": _PARTS[0][1], "amplitude": hypot(*_PARTS[0])},
            tolerance=1e-8,
            obtain=lambda: [turn().cosine, turn().sine, turn().amplitude],
        ),
        first(
            "12 points: direction",
            expected={"": degrees(np.arctan2(_PARTS[0][1], _PARTS[0][0]))},
            tolerance=1e-6,
            obtain=lambda: turn().direction,
            unit="°",
        ),
        orders(
            "12 points: amplitudes",
            source=_TWELVE,
            expected={f"order {order}": hypot(*parts) for order, parts in enumerate(_PARTS, start=1)},
            tolerance=1e-8,
            obtain=lambda: _amplitudes(value),
        ),
        orders(
            "12 points: mean square",
            source=_TWELVE,
            expected={"": 1.5590972222},
            tolerance=5e-11,
            obtain=lambda: np.sum(_amplitudes(value)[:5] ** 2) / 2 + _amplitudes(value)[5] ** 2,
        ),
        *(
            orders(
                f"encoder {way}: amplitudes",
                source=_ENCODER,
                expected={f"order {order}": float(size) for order, size in enumerate(sizes.split(), start=1)},
                tolerance=5e-7,
                obtain=partial(_amplitudes, column("harmonic_24pt_encoder", f"{way}_arcsec")),
                unit="″",
            )
            for way, sizes in (("forward", _FORWARD), ("reverse", _REVERSE))
        ),
    )


def _amplitudes(error: Floats) -> Floats:
    """Return the amplitudes of a lower circle with these errors, solved from a complete closure."""
    n = len(error)
    run, step = (each.ravel() for each in np.meshgrid(np.arange(n), np.arange(n), indexing="ij"))
    made = adjust(Closure(n), np.arange(n), gather(run, step, error[step]))
    return spectrum(made, "lower", np.nan, 0.0).amplitude
