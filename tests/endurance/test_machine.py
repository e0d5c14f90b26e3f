"""A hundred thousand steps of anything a person, a clock or a disk may do, in any order."""

from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context

from hypothesis import HealthCheck, seed, settings
from hypothesis.stateful import run_state_machine_as_test

from tests.sessions.machine import Record

BATCHES = 16
EXAMPLES = 150


def one_batch(number: int) -> int:
    """Run one batch, and return how many acts of a person it took."""
    run_state_machine_as_test(
        seed(number)(Record),
        settings=settings(
            max_examples=EXAMPLES,
            stateful_step_count=100,
            database=None,
            deadline=None,
            suppress_health_check=list(HealthCheck),
        ),
    )
    return Record.done


def test_hundred_thousand_steps() -> None:
    # Each batch in a process of its own: hypothesis keeps every example in memory, half a megabyte each.
    with ProcessPoolExecutor(2, get_context("spawn"), max_tasks_per_child=1) as processes:
        done = list(processes.map(one_batch, range(BATCHES)))
    print(f"\n{sum(done)} acts of a person, with clock, disk, second writers and new beginnings between them")
    assert sum(done) > 100_000
