"""Sessions for the tests of budget, certificate and corrections: simulated, invented, from fixed seeds."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np

from sessions import budget
from sessions.certificate import details
from sessions.certificate.details import Details
from sessions.design import Design
from sessions.equipment import Circle, Instrument
from sessions.header import Header
from sessions.session import Session
from solver.budget import Line
from solver.effects import Effect
from tests.sessions.kit import START, Clock, QuickDisk

DETAILS = Details(
    number="FT-2026-017",
    laboratory="Invented Standards Room",
    laboratory_address="1 Example Street\n00000 Nowhere",
    customer="Example Works & Sons <Ltd>",
    customer_address="2 Sample Road, 00000 Elsewhere",
    condition="clean, no visible damage",
    place="measuring room 2",
    instrument="number AC-1 (invented)",
    instrument_calibration="certificate K-1203 of 2025-11-04 (invented)",
    authorised_by="B. Example",
    authorised_as="head of the laboratory",
    issued="2026-04-20",
)
LINES = (
    Line("instrument scale", "A", "normal", standard_uncertainty=0.002, effect=Effect("proportional")),
    Line("mirror flatness", half_width=0.02, effect=Effect("position"), source="its drawing"),
    Line(
        "axes",
        "B",
        "U-shaped",
        half_width=0.01,
        relative_uncertainty=0.25,
        effect=Effect("harmonic", order=2),
    ),
    Line("not known", effect=Effect("ramp", "lower"), counted=False),
)


def header(positions: int = 12, **design: object) -> Header:
    """Return a header of invented circles."""
    planned = replace(Design(positions, tuple(range(positions))), **design)  # type: ignore[arg-type]
    return Header(
        design=planned,
        lower=Circle("index table", "RT-1 (invented)", "2201", 0.6),
        upper=Circle("index table", "RT-2 (invented)", "2202", 0.6) if planned.closure == "dual" else None,
        instrument=Instrument("autocollimator", "arcsec", 0.01, 150.0, 1, 0.05, 30),
        title="RT-1 against RT-2",
        operator="A. N. Other",
        created=START,
    )


def taken(path: Path, plan: Header | None = None, seed: int = 1, noise: float = 0.05) -> Session:
    """Begin a session and take all readings of its design; nothing else is recorded but a temperature."""
    plan = plan or header()
    design, n = plan.design, plan.design.positions
    rng = np.random.default_rng(seed)
    lower, upper = rng.normal(0, 0.1, n), rng.normal(0, 0.1, n)
    session = Session.create(path, plan, clock=Clock(), disk=QuickDisk())
    session.conditions(20.02, None, 45)
    for run in design.runs:
        constant = rng.uniform(-9, 9)
        for step in design.steps:
            here, there = lower[step % n], lower[(step - 1) % n]
            if design.closure == "single":
                value = here - there - 0.3
            elif design.reading == "interval":
                value = here - there - upper[(run.offset - step + 1) % n] + upper[(run.offset - step) % n]
            else:
                value = constant + here + upper[(run.offset - step) % n]
            session.take(run.number, step, round(float(value + rng.normal(0, noise)), 2))
    return session


def certified(path: Path, plan: Header | None = None, seed: int = 1) -> Session:
    """Begin a session, take all readings, and record a budget and the details of a certificate."""
    session = taken(path, plan, seed)
    session.setup("levelling", {"verdict": "passes", "found": "Tilt 3.1″ ± 0.6″, limit 20″."})
    budget.record(session, budget.Budget(lines=LINES))
    details.record(session, DETAILS)
    return session
