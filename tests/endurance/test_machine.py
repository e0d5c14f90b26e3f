"""A hundred thousand steps of anything a person, a clock or a disk may do, in any order."""

from hypothesis import HealthCheck, settings
from hypothesis.stateful import run_state_machine_as_test

from tests.sessions.machine import Record


def test_hundred_thousand_steps() -> None:
    Record.done = 0
    run_state_machine_as_test(
        Record,
        settings=settings(
            max_examples=2_600,
            stateful_step_count=100,
            derandomize=True,
            deadline=None,
            suppress_health_check=list(HealthCheck),
        ),
    )
    print(
        f"\n{Record.done} acts of a person, with clock, disk, second writers and new beginnings between them"
    )
    assert Record.done > 100_000
