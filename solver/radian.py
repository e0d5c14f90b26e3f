"""Angles in arc seconds, radians, and slopes."""

from __future__ import annotations

from math import pi

#: 180 * 3600 / pi, from the definition of the radian (SI Brochure, 9th edition, table 8; recomputed).
ARCSEC_PER_RADIAN = 648000 / pi
