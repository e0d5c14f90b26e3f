"""Anything a person, a clock or a disk may do, in any order: a few steps of it; a hundred thousand in endurance."""

from pathlib import Path

from hypothesis import HealthCheck, settings

from sessions.bench import Place
from sessions.design import Design
from sessions.flow import Flow
from sessions.header import Header
from sessions.session import Session
from tests.sessions.kit import Clock, QuickDisk
from tests.sessions.machine import Record

TestRecord = Record.TestCase
TestRecord.settings = settings(
    max_examples=25,
    stateful_step_count=30,
    derandomize=True,
    deadline=None,
    suppress_health_check=list(HealthCheck),
)


def test_bench_leaves_a_run_that_is_taken_off_the_plan(tmp_path: Path) -> None:
    header = Header(Design(4, (0, 1)))
    with Session.create(tmp_path / "s.toml", header, clock=Clock(), disk=QuickDisk()) as session:
        flow = Flow(session)
        flow.enter("1")
        flow.move(1, 3)
        session.amend("design.offsets", [0], "one will do")
        flow.header_changed()
        assert flow.place == flow.next == Place(0, 1)
        assert flow.instruction().set_to
