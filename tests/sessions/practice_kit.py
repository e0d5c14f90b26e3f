"""What the tests of the practice bench share: plans, stacks, sessions played."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from sessions.analysis import Analysis, analyse
from sessions.design import Design
from sessions.equipment import Instrument
from sessions.practice.begin import begin, header_of, play
from sessions.practice.parameters import (
    USUAL_SLIPS,
    Parameters,
)
from sessions.practice.slips import Slips
from sessions.practice.stack import Stack
from sessions.session import Session
from tests.sessions.kit import START, Clock, QuickDisk

SLIPS = Parameters(3, slips=USUAL_SLIPS)
DESIGNS = [
    Design(8, (0, 1, 3)),
    Design(8, (0, 1, 3), direction="forward and return"),
    Design(6, (0, 1, 3), arrangement="face by face", closing=False),
    Design(6, (0, 1, 3, 4), reading="interval"),
    Design(6, (0, 1, 3), reading="interval", arrangement="face by face"),
    Design(8, (0, 0, 0), closure="single", reading="interval"),
]


def practised(
    tmp_path: Path, parameters: Parameters, design: Design = DESIGNS[0], *, full: bool = False
) -> Session:
    session = begin(tmp_path / "p.toml", design, parameters, clock=Clock(), disk=QuickDisk())
    if full:
        play(session)
    return session


def analysed(session: Session) -> Analysis:
    return analyse(session.matrix.snapshot())


def stack_of(design: Design, parameters: Parameters, instrument: Instrument | None = None) -> Stack:
    header = header_of(design, parameters, START)
    return Stack(replace(header, instrument=instrument) if instrument else header, parameters)


def first_slip(kind: str, design: Design = DESIGNS[0]) -> tuple[Parameters, int, int]:
    """Return a stack with a slip of a kind, and its cell."""
    for seed in range(200):
        slips = Slips(stack_of(design, replace(SLIPS, seed=seed)))
        for run in range(design.run_count):
            for slip in slips.of_run(run):
                if slip.kind == kind:
                    return replace(SLIPS, seed=seed), slip.run, slip.step
    raise AssertionError(kind)
