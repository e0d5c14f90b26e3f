"""How fast the record is, as ratios against a peer in the same run (design document, section 5).

Run with `python -m pytest tests/benchmarks/test_record.py -s`.
"""

import os
import re
import time
import tomllib
import zlib
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from statistics import median

import numpy as np
import pytest

from sessions.blocks import check_text, end_text, entry_text, header_text
from sessions.design import Design
from sessions.entries import Reading
from sessions.entry_tables import entry_table
from sessions.folder import list_sessions
from sessions.header import Header
from sessions.matrix import Matrix
from sessions.parse import parse
from sessions.session import Session
from tests.sessions.kit import START, Clock, QuickDisk, without_checks


def best(action: Callable[[], object], times: int = 5) -> float:
    """Return the shortest time of a few, which other work on the computer disturbs least."""
    found = []
    for _ in range(times):
        start = time.perf_counter()
        action()
        found.append(time.perf_counter() - start)
    return min(found)


def file_of(readings: int, positions: int = 72) -> bytes:
    header = Header(Design(positions, tuple(range(positions))))
    chance = np.random.default_rng(20260302)
    parts = [header_text(header).encode()]
    crc = zlib.crc32(parts[0])
    width = positions + 1
    for index, value in enumerate(chance.normal(3.0, 0.5, readings).round(2)):
        cell = index % (positions * width)
        time_ = START + timedelta(seconds=8 * index)
        reading = Reading(index + 1, time_, cell // width, cell % width, float(value))
        block = entry_text(entry_table(reading)).encode()
        crc = zlib.crc32(block, crc)
        closing = (check_text(crc) + end_text(index + 1)).encode()
        crc = zlib.crc32(closing, crc)
        parts += [block, closing]
    return b"".join(parts)


@pytest.mark.parametrize("kind", ["as written", "without checks", "no spaces", "other order"])
def test_opening_10000_readings_against_tomllib(kind: str) -> None:
    data = file_of(10_000)
    if kind != "as written":
        data = without_checks(data)
    if kind == "no spaces":
        data = data.replace(b" = ", b"=")
    if kind == "other order":
        data = re.sub(rb"(run = .*\n)(step = .*\n)", rb"\2\1", data)
    assert parse(data, "a").state.matrix.accepted == 10_000
    text = data.decode()
    ratio = best(lambda: parse(data, "a")) / best(lambda: tomllib.loads(text))
    print(f"\nopening 10,000 readings, {kind}: {ratio:.2f} of tomllib's own parse")
    assert ratio <= 1.5


def test_appending_against_a_bare_write_and_sync(tmp_path: Path) -> None:
    header = Header(Design(72, tuple(range(72))))
    with (
        Session.create(tmp_path / "s.toml", header, clock=Clock()) as session,
        (tmp_path / "bare").open("wb") as bare,
    ):
        block = file_of(1)[-140:]
        ours, theirs = [], []
        for index in range(600):
            start = time.perf_counter()
            session.take(index // 73, index % 73, 1.25)
            between = time.perf_counter()
            bare.write(block)
            bare.flush()
            os.fsync(bare.fileno())
            ours.append(between - start)
            theirs.append(time.perf_counter() - between)
    ratio = median(ours) / median(theirs)
    print(f"\nappending: {ratio:.2f} of a bare write and fsync ({median(theirs) * 1e6:.0f} µs)")
    assert ratio <= 2


def test_event_in_a_large_matrix_against_a_small_one() -> None:
    def events(positions: int) -> Callable[[], None]:
        matrix = Matrix(Header(Design(positions, tuple(range(positions)))))
        for number in range(1, positions * (positions + 1) + 1):
            run, step = divmod(number - 1, positions + 1)
            matrix.add(Reading(number, START, run, step, 1.0))
        numbers = iter(range(10**6, 10**8))

        def act() -> None:
            for _ in range(2000):
                number = next(numbers)
                matrix.add(Reading(number, START, 1, number % (positions + 1), 1.0))
                matrix.mark(number, "struck", "door")
                matrix._cells[1, number % (positions + 1)] = ()  # keep cells short

        return act

    large, small = best(events(360)), best(events(12))
    print(f"\nevent at 360 × 361: {large / small:.2f} of one at 12 × 13 ({large / 4000 * 1e6:.1f} µs)")
    assert large / small <= 3


def test_snapshot_against_copying_its_arrays() -> None:
    matrix = Matrix(Header(Design(360, tuple(range(360)))))
    for number in range(1, 360 * 361 + 1):
        run, step = divmod(number - 1, 361)
        matrix.add(Reading(number, START, run, step, 1.0))
    arrays = (matrix.count, matrix.mean, matrix.squares)
    ours, copies = best(matrix.snapshot), best(lambda: [array.copy() for array in arrays])
    print(f"\nsnapshot at 360 × 361: {ours * 1e3:.2f} ms, {ours / copies:.1f} of copying three arrays")


def test_listing_100_files_against_tomllib(tmp_path: Path) -> None:
    data = file_of(300, 12)
    for number in range(100):
        (tmp_path / f"{number}.toml").write_bytes(data)
    ours = best(lambda: list_sessions(tmp_path), 3)
    theirs = best(lambda: [tomllib.loads(path.read_text("utf-8")) for path in tmp_path.iterdir()], 3)
    print(f"\nlisting 100 files of 300 readings: {ours * 1e3:.0f} ms, {ours / theirs:.2f} of tomllib's parse")
    assert ours / theirs <= 1.5


def test_work_of_an_append_without_the_disk(tmp_path: Path) -> None:
    header = Header(Design(72, tuple(range(72))))
    with Session.create(tmp_path / "s.toml", header, clock=Clock(), disk=QuickDisk()) as session:
        times = []
        for index in range(2000):
            start = time.perf_counter()
            session.take(index // 73, index % 73, 1.25)
            times.append(time.perf_counter() - start)
    print(f"\nappend with no wait for the disk: {median(times) * 1e6:.0f} µs")


def test_striking_a_run_beside_few_and_many_others() -> None:
    """Its peer is the same run struck in a session of that run alone."""

    def strike(others: int) -> float:
        matrix = Matrix(Header(Design(360, tuple(range(1 + others)))))
        for index in range(361 * (1 + others)):
            run, step = divmod(index, 361)
            matrix.add(Reading(index + 1, START, run, step, float(step % 7)))
        start = time.perf_counter()
        for number in range(1, 362):
            matrix.mark(number, "struck", "knocked")
        return time.perf_counter() - start

    ratio = min(strike(359) for _ in range(3)) / min(strike(0) for _ in range(3))
    print(f"\nstriking a run of 361 readings beside 359 others like it: {ratio:.2f} of striking it alone")
    assert ratio <= 2
