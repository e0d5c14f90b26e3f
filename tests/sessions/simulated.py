"""Simulated sessions for the comparisons: readings by the formulas of `solver.closure`, with seeded noise."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np

from sessions.design import Design
from sessions.entries import Reading
from sessions.equipment import Circle, Instrument
from sessions.header import Header
from sessions.matrix import Matrix, Snapshot
from sessions.session import Session
from solver.closure import Floats
from tests.sessions.kit import QuickDisk

HT04 = Circle("index table", "HT-04", "17")
HT11 = Circle("index table", "HT-11", "5")
DAY = datetime(2025, 3, 2, 9, 0, tzinfo=UTC)


def errors(positions: int, seed: int, size: float = 0.3) -> Floats:
    """Invented errors of a circle."""
    return np.random.default_rng(seed).normal(0.0, size, positions)


def header(
    design: Design, lower: Circle = HT04, upper: Circle = HT11, instrument: Instrument | None = None
) -> Header:
    return Header(
        design=design, lower=lower, upper=upper, instrument=instrument or Instrument(), title="invented"
    )


def readings(
    head: Header, lower: Floats, upper: Floats, sd: float, generator: np.random.Generator
) -> list[tuple[int, int, float]]:
    """Readings by "position", counter-rotating: y = p (lower[t] + upper[k - t]) + c, in the instrument's unit."""
    design, n = head.design, head.design.positions
    found = []
    for run in design.runs:
        constant = generator.normal(0.0, 5.0)
        for step in design.steps:
            value = head.instrument.polarity * (lower[step % n] + upper[(run.offset - step) % n])
            for _ in range(design.repeats):
                noisy = value + constant + generator.normal(0.0, sd)
                found.append((run.number, step, float(noisy) / head.instrument.arcsec_per_unit))
    return found


def snapshot(
    head: Header,
    lower: Floats,
    upper: Floats,
    sd: float,
    generator: np.random.Generator,
    day: datetime = DAY,
) -> Snapshot:
    """A session in memory."""
    matrix = Matrix(head)
    for number, (run, step, value) in enumerate(readings(head, lower, upper, sd, generator), start=1):
        matrix.add(Reading(number, day + timedelta(seconds=30 * number), run, step, value))
    return matrix.snapshot()


def record(
    path: Path, head: Header, lower: Floats, upper: Floats, sd: float, seed: int, day: datetime = DAY
) -> Path:
    """A session in a file."""
    times = (day + timedelta(seconds=30 * number) for number in range(10**6))
    with Session.create(path, head, clock=lambda: next(times), disk=QuickDisk()) as session:
        for run, step, value in readings(head, lower, upper, sd, np.random.default_rng(seed)):
            session.take(run, step, value)
    return path
