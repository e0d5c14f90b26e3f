"""Writes the bundled demo session: invented tables, invented readings, from a fixed seed.

Run as `python -m tests.sessions.make_demo FILE`.
"""

from __future__ import annotations

import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np

from sessions.design import Design
from sessions.equipment import Circle, Instrument
from sessions.header import Header
from sessions.session import Session

SEED = 1104
N = 12
OFFSETS = (0, 1, 3, 7)
WITHIN, SEATING = 0.02, 0.035


class Clock:
    """A clock that moves on only when told to."""

    def __init__(self) -> None:
        self.now = datetime(2026, 3, 2, 8, 41, tzinfo=UTC)

    def __call__(self) -> datetime:
        return self.now

    def wait(self, seconds: float) -> None:
        self.now += timedelta(seconds=round(seconds))


HEADER = Header(
    design=Design(positions=N, offsets=OFFSETS, repeats=2),
    lower=Circle("index table", "HT-04 (invented)", "0417", 0.25),
    upper=Circle("index table", "HT-11 (invented)", "1102", 0.25),
    instrument=Instrument("autocollimator", "arcsec", 0.01, 150.0, 1, 0.04, 20),
    title="HT-04 against HT-11, 30° steps (invented)",
    operator="A. N. Other",
    created=datetime(2026, 3, 2, 8, 41, tzinfo=UTC),
)


def make(path: Path) -> None:
    """Write the demo: three runs full, the fourth half full, one reading struck, two that look wrong."""
    random = np.random.default_rng(SEED)
    lower = random.normal(0, 0.09, N)
    upper = random.normal(0, 0.11, N)
    clock = Clock()
    session = Session.create(path, HEADER, clock=clock)
    clock.wait(60)
    session.conditions(20.1, None, 45, "air conditioning off since 7:30")
    clock.wait(40)
    for run, offset in enumerate(OFFSETS):
        constant = random.uniform(1, 9)
        clock.wait(240)
        for step in range(N + 1):
            if (run, step) == (3, 7):
                session.note("Called away; the stack stays set at run 3, step 7.")
                session.close()
                return
            seated = constant + lower[step % N] + upper[(offset - step) % N] + random.normal(0, SEATING)
            for repeat in range(2):
                value = round(seated + random.normal(0, WITHIN), 2)
                clock.wait(random.uniform(8, 14) if repeat else random.uniform(20, 32))
                if (run, step, repeat) == (0, 9, 1):
                    slip = session.take(run, step, round(value + 1.3, 2))
                    session.strike(slip.number, "door opened")
                    clock.wait(30)
                if (run, step, repeat) == (1, 9, 1):
                    value = _swapped(value)
                if (run, step) == (2, 5):
                    value = round(value - 0.42, 2)
                session.take(run, step, value)


def _swapped(value: float) -> float:
    """Return the value with the two digits after the point swapped."""
    text = f"{value:.2f}"
    return float(text[:-2] + text[-1] + text[-2])


if __name__ == "__main__":
    target = Path(sys.argv[1])
    target.unlink(missing_ok=True)
    make(target)
