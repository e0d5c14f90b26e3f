"""Cells found bad, and the search that found them."""

from __future__ import annotations

from dataclasses import dataclass

from solver.deleted import Scale


@dataclass(frozen=True, slots=True)
class Step:
    """One step of the forward search.

    Parameters
    ----------
    cell : int
        The cell that stands out most once those before are struck.
    statistic, critical : float
        Absolute studentized deleted residual, and what chance allows.
    freedom : float
        Degrees of freedom of the scatter, the accepted ones included.
    """

    cell: int
    statistic: float
    critical: float
    freedom: float


@dataclass(frozen=True, slots=True)
class Suspect:
    """A cell that may be bad: cell minus prediction by the good ones, and its root, in units of one cell."""

    cell: int
    error: float
    root: float


@dataclass(frozen=True, slots=True)
class Guilty:
    """A cell found bad.

    Parameters
    ----------
    suspect : Suspect
        The cell, against its prediction with all guilty cells struck.
    statistic, critical : float
        Absolute studentized deleted residual with all guilty cells struck, and what chance allows.
    strong : bool
        Whether it stands out at a fifth of the level as well.
    rivals : tuple of Suspect
        Other cells that explain the readings nearly as well if they are bad instead, likeliest first.
    """

    suspect: Suspect
    statistic: float
    critical: float
    strong: bool
    rivals: tuple[Suspect, ...]


@dataclass(frozen=True, slots=True)
class Search:
    """What the search found.

    Parameters
    ----------
    steps : tuple of Step
        The forward search, some steps beyond the last significant one.
    guilty : tuple of Guilty
        The cells found bad, worst first.
    remaining : Scale
        The squares and degrees of freedom that are left with the guilty cells struck.
    evidence : float
        Natural logarithm of how much likelier the readings are with the guilty cells struck, less what it
        costs to have looked for them.
    exhausted : bool
        Whether the search was stopped while it still found bad cells: not single cells are at fault then.
    """

    steps: tuple[Step, ...]
    guilty: tuple[Guilty, ...]
    remaining: Scale
    evidence: float
    exhausted: bool
