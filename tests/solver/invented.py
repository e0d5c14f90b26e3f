"""Invented sessions with known errors, for screening: realistic digits, a constant for each run, slips at will."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from solver.adjust import adjust
from solver.cells import Cells, gather
from solver.changes import Change, settings
from solver.closure import Closure
from solver.deleted import Accepted
from solver.flags import Limits, Readings, Screening
from solver.runs import Runs
from solver.screen import screen

COMPLETE = tuple(range(12))


@dataclass(frozen=True)
class Session:
    """A session in the making: true values without noise, and readings in entry order."""

    closure: Closure
    offset: np.ndarray
    readings: Readings
    sigma: float

    @property
    def cells(self) -> Cells:
        readings = self.readings
        return gather(readings.run, readings.step, readings.typed, runs=len(self.offset))

    def typed(self, where: int | np.ndarray, value: float | np.ndarray) -> Session:
        """Return the session with other numbers typed at some readings."""
        typed = self.readings.typed.copy()
        typed[where] = value
        return replace(self, readings=replace(self.readings, typed=typed))

    def first(self, count: int) -> Session:
        """Return the session after its first `count` readings."""
        names = ("run", "step", "typed", "number", "kept")
        cut = {name: getattr(self.readings, name)[:count] for name in names}
        return replace(self, readings=Readings(**cut))

    def screened(self, limits: Limits | None = None, group: np.ndarray | None = None) -> Screening:
        cells = self.cells
        adjustment = adjust(self.closure, self.offset, cells, group)
        return screen(adjustment, self.offset, cells, self.readings, limits, group)


def session(
    rng: np.random.Generator,
    offsets: tuple[int, ...] = COMPLETE,
    *,
    positions: int = 12,
    closing: bool = True,
    repeats: int = 1,
    sigma: float = 0.03,
    within: float = 0.0,
    error: float = 0.3,
    constant: float = 4.0,
    resolution: float | None = 0.01,
    change: Change | None = None,
    **model: object,
) -> Session:
    """Return a session read run after run; arc seconds.

    Parameters
    ----------
    sigma, within : float
        Standard deviations of a cell (the seating) and, added to that, of a reading within its cell.
    error, constant : float
        Scatter of the position errors, and size of the constants of the runs.
    change : Change, optional
        What is wrong with one run.
    """
    closure = Closure(positions, **model)  # type: ignore[arg-type]
    offset = np.array(offsets)
    steps = np.arange(closure.first_step, closure.last_step(closing) + 1)
    run = np.repeat(np.arange(len(offset)), len(steps) * repeats)
    step = np.tile(np.repeat(steps, repeats), len(offset))
    beta, alpha = rng.normal(size=(2, positions)) * error
    where, at, sign = offset[run], step.copy(), np.ones(len(run))
    if change is not None:
        here = run == change.run
        where[here], at[here], sign[here] = settings(closure, Runs.of(closure, offset), change, step[here])

    def position(t: np.ndarray) -> np.ndarray:
        lower = beta[closure.lower(t)]
        return lower + closure.upper_sign * alpha[closure.upper(where, t)] if closure.dual else lower

    value = position(at) if closure.reading == "position" else position(at) - position(at - 1)
    shared = constant * rng.choice([-1, 1], len(offset)) * rng.uniform(0.5, 1.5, len(offset))
    if not closure.dual:
        value = value - shared[0]
    value = sign * closure.polarity * value
    if closure.reading == "position":
        value = value + shared[run]
    seating = np.repeat(rng.normal(size=len(run) // repeats) * sigma, repeats)
    value = value + seating + rng.normal(size=len(run)) * within
    if resolution:
        value = np.round(np.round(value / resolution) * resolution, 9)
    number = np.arange(1, len(run) + 1)
    readings = Readings(run, step, value, number, np.zeros(len(run), dtype=bool))
    return Session(closure, offset, readings, float(np.hypot(sigma, within / np.sqrt(repeats))))


def accepted(
    rng: np.random.Generator, sigma: float, freedom: float | None, resolution: float = 0.01
) -> Accepted:
    """Return an accepted standard deviation: the true one, rounding included, or an estimate of it."""
    true = float(np.hypot(sigma, resolution / np.sqrt(12)))
    if freedom is None:
        return Accepted(true)
    return Accepted(true * float(np.sqrt(rng.chisquare(freedom) / freedom)), freedom)


SLIPS = ("sign", "decimal", "digits", "dropped digit", "doubled digit")


def slipped(rng: np.random.Generator, value: float, kind: str) -> float:
    """Return what is typed for a value with two decimals if a slip of the hand is made."""
    text, sign = f"{abs(value):.2f}", -1 if value < 0 else 1
    places = [i for i, character in enumerate(text) if character.isdigit()]
    if kind == "sign":
        return -value
    if kind == "decimal":
        return float(f"{value * 10.0 ** rng.choice([-1, 1, 2]):.9g}")
    i = int(rng.integers(len(places) - (kind == "digits")))
    here = places[i]
    if kind == "digits":
        other = places[i + 1]
        swapped = list(text)
        swapped[here], swapped[other] = swapped[other], swapped[here]
        return sign * float("".join(swapped))
    if kind == "dropped digit":
        return sign * float(text[:here] + text[here + 1 :])
    if kind == "doubled digit":
        return sign * float(text[: here + 1] + text[here:])
    raise ValueError(kind)
