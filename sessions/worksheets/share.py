"""How much of the angle one error of the setup may take: what limits are proposed from."""

from __future__ import annotations

from sessions.header import Header

#: A part of a tenth adds half a percent to a root sum of squares: root(1 + 0.01) = 1.005.
PART = 0.1
#: Arc seconds where the header tells neither tolerance nor accepted standard deviation.
OTHERWISE = 0.01


def allowed(header: Header) -> float:
    """Return the effect on an angle, arc seconds, that one error of the setup may have.

    A tenth of the smaller tolerance; without one a tenth of the accepted standard deviation; with neither 0.01″.
    Common practice, no source.
    """
    tolerance = smaller_tolerance(header)
    if tolerance is not None:
        return PART * tolerance
    instrument = header.instrument
    if instrument.accepted_sd is not None:
        return PART * instrument.accepted_sd * instrument.arcsec_per_unit
    return OTHERWISE


def smaller_tolerance(header: Header) -> float | None:
    """Return the smaller of the circles' tolerances, arc seconds, None where none is agreed."""
    circles = (header.lower, header.upper) if header.design.closure == "dual" else (header.lower,)
    agreed = [circle.tolerance for circle in circles if circle is not None and circle.tolerance is not None]
    return min(agreed, default=None)


def slip(header: Header) -> float:
    """Return how far apart a reading must stand to be pointed out, in the unit: two steps of the resolution and more.

    Common practice, no source.
    """
    return 2.5 * (header.instrument.resolution or 0.0)


def unit_sign(header: Header) -> str:
    """Return the sign of the unit that the instrument is read in."""
    return "″" if header.instrument.unit == "arcsec" else "µrad"


def unit_key(header: Header) -> str:
    """Return how the unit that the instrument is read in ends a key of the record."""
    return header.instrument.unit
