"""What is measured, and with what: divided circles, and the instrument that reads the angle."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from solver.radian import ARCSEC_PER_RADIAN
from solver.slips import decimals

CircleKind = Literal["index table", "polygon", "rotary table", "encoder"]
Unit = Literal["arcsec", "urad"]

CIRCLE_KINDS: tuple[CircleKind, ...] = ("index table", "polygon", "rotary table", "encoder")
UNITS: tuple[Unit, ...] = ("arcsec", "urad")

ARCSEC_PER_URAD = ARCSEC_PER_RADIAN / 1e6


@dataclass(frozen=True, slots=True)
class Circle:
    """A divided circle; `tolerance` is plus or minus arc seconds, None where none is agreed."""

    kind: CircleKind = "index table"
    name: str = ""
    serial: str = ""
    tolerance: float | None = None


@dataclass(frozen=True, slots=True)
class Instrument:
    """What reads the angle.

    Parameters
    ----------
    kind : str
        What it is, in words.
    unit : str
        What is typed: "arcsec" or "urad".
    resolution, range : float or None
        In the unit; the range is the largest size of a reading.
    polarity : int
        +1 if the reading rises when the mirror turns the way the lower circle is stepped, else -1.
    accepted_sd, accepted_sd_dof : float or None
        Accepted standard deviation of one cell, in the unit, and its degrees of freedom (None: known).
    """

    kind: str = "autocollimator"
    unit: Unit = "arcsec"
    resolution: float | None = None
    range: float | None = None
    polarity: int = 1
    accepted_sd: float | None = None
    accepted_sd_dof: float | None = None

    @property
    def decimals(self) -> int | None:
        """Digits after the point of a reading by the resolution; None where that is not known."""
        return None if self.resolution is None else decimals(self.resolution)

    @property
    def arcsec_per_unit(self) -> float:
        """Arc seconds in one unit of what is typed."""
        return 1.0 if self.unit == "arcsec" else ARCSEC_PER_URAD
