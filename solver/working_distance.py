"""How far a mirror may turn before too little light comes back: distance, aperture, mirror."""

from __future__ import annotations

from dataclasses import dataclass
from math import acos, atan, pi, sqrt, tan

from solver.radian import ARCSEC_PER_RADIAN
from solver.refused import Refused


@dataclass(frozen=True, slots=True)
class Sight:
    """An instrument that looks at a mirror; all lengths in mm.

    A mirror that turns by α sends the beam back at 2α, so that it arrives at the objective displaced by
    d tan 2α, d being the working distance. What arrives has the diameter of the beam or of the mirror, whichever is
    smaller; what falls outside the objective is lost. While any of it is lost the reading may shift as well.

    Parameters
    ----------
    aperture : float
        Diameter of the objective.
    beam : float
        Diameter of the beam that leaves it.
    mirror : float
        Diameter or width of the mirror.
    distance : float
        From the objective to the mirror.

    Raises
    ------
    Refused
        For a length that is not above 0.

    Notes
    -----
    Plane geometry of a collimated beam, its spread left aside. Common practice, no source.
    """

    aperture: float
    beam: float
    mirror: float
    distance: float

    def __post_init__(self) -> None:
        if min(self.aperture, self.beam, self.mirror, self.distance) <= 0:
            raise Refused("a length of 0 or less is no length", remedy="type lengths above 0")

    @property
    def returned(self) -> float:
        """Diameter of the beam that the mirror returns."""
        return min(self.beam, self.mirror)

    @property
    def free_shift(self) -> float:
        """How far the returned beam may be displaced with nothing of it lost; 0 where the edge loses at once."""
        return max(0.0, (self.aperture - self.returned) / 2)

    def share(self, shift: float) -> float:
        """Return the share of the returned beam that still falls into the objective, 0 to 1.

        Notes
        -----
        Area of the lens that two circles have in common, over that of the returned beam (plane geometry).
        """
        large, small = sorted((self.aperture / 2, self.returned / 2), reverse=True)
        beam = pi * (self.returned / 2) ** 2
        if shift >= large + small:
            return 0.0
        if shift <= large - small:
            return pi * small**2 / beam
        to_chord = (shift**2 + large**2 - small**2) / (2 * shift)
        rest = shift - to_chord
        lens = large**2 * _sector(to_chord / large) + small**2 * _sector(rest / small)
        return lens / beam

    def shift_for(self, share: float) -> float:
        """Return the displacement that leaves `share` of what comes back undisplaced, 0 < share < 1."""
        wanted = share * self.share(0.0)
        low, high = 0.0, (self.aperture + self.returned) / 2
        for _ in range(100):
            middle = (low + high) / 2
            if self.share(middle) >= wanted:
                low = middle
            else:
                high = middle
        return low

    def turn(self, shift: float) -> float:
        """Return the turn of the mirror, arc seconds either way, that displaces the beam by `shift` mm."""
        return atan(shift / self.distance) / 2 * ARCSEC_PER_RADIAN

    def farthest(self, turn: float, share: float) -> float:
        """Return the distance in mm up to which a turn in arc seconds leaves that share; inf for no turn."""
        if turn == 0:
            return float("inf")
        return self.shift_for(share) / tan(2 * turn / ARCSEC_PER_RADIAN)


def _sector(cosine: float) -> float:
    """Return sector minus triangle of a unit circle whose chord lies at `cosine` from the centre."""
    cosine = min(1.0, max(-1.0, cosine))
    return acos(cosine) - cosine * sqrt(1 - cosine**2)
