"""How often screening is right, over many invented sessions."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from solver.changes import possible
from solver.closure import Closure
from solver.flags import Limits
from solver.runs import Runs
from tests.solver.invented import COMPLETE, Session, accepted, session, slipped


@dataclass(frozen=True)
class Rates:
    """Shares of sessions: flagged at all, guilty found in the very cell, any innocent flagged, explained."""

    flagged: float = np.nan
    found: float = np.nan
    innocent: float = np.nan
    explained: float = np.nan


def limits(
    rng: np.random.Generator,
    drawn: Session,
    freedom: float | None,
    repeats: int = 1,
    resolution: float = 0.01,
) -> Limits:
    """Return the limits of a session; `freedom` 0 is no accepted standard deviation, None a known one."""
    known = None if freedom == 0 else accepted(rng, drawn.sigma, freedom, resolution)
    return Limits(
        resolution=resolution,
        range=150.0,
        accepted=known,
        repeats=repeats,
        planned=len(drawn.readings) // repeats,
    )


def clean(count: int, seed: int, offsets: tuple[int, ...], freedom: float | None, **kind: object) -> Rates:
    """Screen clean sessions."""
    rng = np.random.default_rng(seed)
    repeats = int(kind.get("repeats", 1))  # type: ignore[call-overload]
    flagged = 0
    for _ in range(count):
        drawn = session(rng, offsets, **kind)  # type: ignore[arg-type]
        flagged += drawn.screened(limits(rng, drawn, freedom, repeats)).flags != ()
    return Rates(flagged=flagged / count)


def spikes(
    count: int,
    seed: int,
    bad: int,
    size: float,
    freedom: float | None = 0,
    offsets: tuple[int, ...] = COMPLETE,
    **kind: object,
) -> Rates:
    """Screen sessions in which `bad` cells, drawn at random, are off by `size` standard deviations of a cell.

    Readings are rounded to 0.001, so that rounding leaves the size of the error as it is.
    """
    rng = np.random.default_rng(seed)
    found = innocent = 0
    for _ in range(count):
        drawn = session(rng, offsets, resolution=0.001, **kind)  # type: ignore[arg-type]
        where = rng.choice(len(drawn.readings), bad, replace=False)
        error = size * drawn.sigma * rng.choice([-1, 1], bad)
        wrong = drawn.typed(where, np.round(drawn.readings.typed[where] + error, 3))
        given = limits(rng, drawn, freedom, resolution=0.001)
        entries = {flag.entry for flag in wrong.screened(given).flags}
        guilty = set((where + 1).tolist())
        found += guilty <= entries
        innocent += bool(entries - guilty)
    return Rates(found=found / count, innocent=innocent / count)


def slips(
    count: int, seed: int, kind: str, freedom: float | None = 0, offsets: tuple[int, ...] = COMPLETE
) -> Rates:
    """Screen sessions with one slip of the hand that moves a reading by ten standard deviations and more.

    Rightly explained: the slip is named, or what would have been typed is what was meant.
    """
    rng = np.random.default_rng(seed)
    done = found = explained = 0
    while done < count:
        drawn = session(rng, offsets)
        where = int(rng.integers(len(drawn.readings)))
        meant = float(drawn.readings.typed[where])
        typed = slipped(rng, meant, kind)
        if abs(typed - meant) < 10 * drawn.sigma:
            continue
        done += 1
        flags = drawn.typed(where, typed).screened(limits(rng, drawn, freedom)).flags
        mine = [f for f in flags if f.entry == where + 1 and f.test in ("residual", "closing", "repeats")]
        found += bool(mine)
        explained += any(
            f.suggested_typed is not None and (f.suggestion == kind or abs(f.suggested_typed - meant) < 1e-6)
            for f in mine
        )
    return Rates(found=found / count, explained=explained / count)


def shifted_runs(
    count: int,
    seed: int,
    freedom: float | None = 0,
    offsets: tuple[int, ...] = COMPLETE,
    error: float = 0.3,
    name: str = "run shifted",
) -> float:
    """Return how often a run that is not what it is called is found, named, and named rightly in every figure."""
    rng = np.random.default_rng(seed)
    right = 0
    closure = Closure(12)
    runs = Runs.of(closure, np.array(offsets))
    for _ in range(count):
        run = int(rng.integers(len(offsets)))
        changes = [each for each in possible(closure, runs, run) if each.name == name]
        change = changes[int(rng.integers(len(changes)))]
        drawn = session(rng, offsets, change=change, error=error)
        moved = (change.lower, change.upper) if change.lower or change.upper else None
        right += any(
            (flag.run, flag.suggestion, flag.moved) == (run, name, moved)
            for flag in drawn.screened(limits(rng, drawn, freedom)).flags
        )
    return right / count
