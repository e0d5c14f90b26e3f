"""What a simulated stack is like. Seed and parameters are all there is to keep of it: the rest follows."""

from __future__ import annotations

import secrets
from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass, fields
from typing import Any

from sessions.entries import Entry, Setup
from sessions.fields import LARGEST, Fields
from solver.refused import Refused

#: Name of the entry that says how a session is simulated. The true errors do not stand in it.
WORKSHEET = "practice bench"
MOST_SEED = 2**53
#: Share of the cells where slips are asked for without saying how many.
USUAL_SLIPS = 0.08
_SHARES = ("turbulence", "slips")


@dataclass(frozen=True, slots=True)
class Parameters:
    """The simulated stack, arc seconds. What is 0 is absent.

    Parameters
    ----------
    seed : int
        Everything random follows from it.
    errors : float
        Standard deviation of the position errors of each circle, beside a once-per-turn error of about that
        size.
    within : float
        Standard deviation of a reading within a seating.
    seating : float
        Standard deviation between seatings.
    drift : float
        Standard deviation of what the zero drifts in the course of a run.
    turbulence : float
        Share of the readings that are taken in disturbed air, in which they scatter more.
    gust : float
        How many times more.
    lazy : float
        How many times the others' standard deviation a lazy tooth scatters between seatings: one position of
        one circle that repeats badly. Below 2 there is none.
    slips : float
        Share of the cells at which an assistant, who sets the stack and calls the readings out, makes a slip.
    """

    seed: int
    errors: float = 0.2
    within: float = 0.015
    seating: float = 0.03
    drift: float = 0.02
    turbulence: float = 0.05
    gust: float = 4.0
    lazy: float = 4.0
    slips: float = 0.0

    @property
    def calm(self) -> Parameters:
        """The same stack with nothing but noise."""
        return Parameters(self.seed, self.errors, self.within, self.seating, 0.0, 0.0, self.gust, 0.0)

    def deviation(self, repeats: int) -> float:
        """Return the standard deviation of a cell of so many repeats, away from a lazy tooth, drift apart."""
        disturbed = 1 + self.turbulence * (self.gust**2 - 1)
        return float((self.seating**2 + self.within**2 * disturbed / repeats) ** 0.5)


def new_seed() -> int:
    """Return a seed that nobody knows, short enough to be told to somebody else."""
    return secrets.randbelow(10**6)


def checked(parameters: Parameters) -> Parameters:
    """Return parameters that make sense, or refuse them.

    Raises
    ------
    Refused
        Naming what does not.
    """
    return _read(asdict(parameters), "")


def result_of(parameters: Parameters) -> dict[str, Any]:
    """Return what the entry holds."""
    return {
        "verdict": "simulated",
        "found": "every reading of this session is simulated",
        **asdict(parameters),
    }


def is_practice(entries: Iterable[Entry]) -> bool:
    """Return whether a session was simulated."""
    return any(isinstance(entry, Setup) and entry.worksheet == WORKSHEET for entry in entries)


def parameters_of(entries: Iterable[Entry]) -> Parameters | None:
    """Return what a session was simulated with; None for one that is not simulated.

    Raises
    ------
    Refused
        Where the entry is there but says nothing that can be simulated.
    """
    for entry in entries:
        if isinstance(entry, Setup) and entry.worksheet == WORKSHEET:
            return _read(entry.result, f"entry {entry.number}")
    return None


def _read(table: Mapping[str, Any], where: str) -> Parameters:
    names = tuple(entry.name for entry in fields(Parameters))
    told = {key: value for key, value in table.items() if key not in ("verdict", "found")}
    read = Fields(told, where, names)
    numbers = {name: read.real(name) for name in names if name != "seed"}
    for name, value in numbers.items():
        if not 0 <= value <= (1 if name in _SHARES else LARGEST):
            raise Refused(
                f"{value:g} makes no sense here",
                where=read.place(name),
                remedy="use a share from 0 to 1" if name in _SHARES else "use 0 or more",
            )
    return Parameters(read.whole("seed", 0, MOST_SEED), **numbers)
