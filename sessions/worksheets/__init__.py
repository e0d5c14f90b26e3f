"""The setup worksheets, in the order in which a bench is set up."""

from __future__ import annotations

from sessions.worksheets.centring import CENTRING
from sessions.worksheets.cleaning import CLEANING
from sessions.worksheets.distance import DISTANCE
from sessions.worksheets.facing import FACING
from sessions.worksheets.levelling import LEVELLING
from sessions.worksheets.lever import LEVER
from sessions.worksheets.reseating import RESEATING
from sessions.worksheets.sheet import Worksheet
from sessions.worksheets.warming import WARMING

WORKSHEETS: tuple[Worksheet, ...] = (
    CLEANING,
    LEVELLING,
    CENTRING,
    FACING,
    LEVER,
    DISTANCE,
    WARMING,
    RESEATING,
)
