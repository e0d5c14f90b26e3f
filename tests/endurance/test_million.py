"""A session file of a million readings: how long it takes to open and to solve, and how much memory."""

from __future__ import annotations

import json
import subprocess
import sys
import zlib
from pathlib import Path

import numpy as np
import pytest

from sessions.blocks import check_text, end_text, entry_text, header_text
from sessions.design import Design
from sessions.entries import Reading
from sessions.entry_tables import entry_table
from sessions.header import Header
from tests.sessions.kit import START

ENTRIES = 1_000_000

MEASURE = """
import resource, sys, time
start = time.perf_counter()
{act}
spent = time.perf_counter() - start
print(f"{{spent:.1f}} {{resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f}}")
"""
OPEN = """
from sessions.session import Session
with Session.open(sys.argv[1]) as session:
    assert session.recorded == 1_000_000, session.recorded
    session.take(0, 0, 0.0)
"""
SOLVE = """
import contextlib, io
from tui.cli import main
with contextlib.redirect_stdout(io.StringIO()):
    assert main(["solve", sys.argv[1], "--json"]) in (0, 1)
"""


def write_million(path: Path) -> int:
    """Write the file as the program itself would, and return its size, bytes: 12 runs of 72 positions, many times."""
    design = Design(72, tuple(range(0, 72, 6)), repeats=1000)
    noise = np.random.default_rng(1).normal(0.0, 0.05, ENTRIES).round(2)
    cells = [(run, step) for run in range(design.run_count) for step in design.steps]
    data = header_text(Header(design, title="a million readings")).encode()
    crc = zlib.crc32(data)
    with path.open("wb") as file:
        file.write(data)
        for number, value in enumerate(noise.tolist(), 1):
            run, step = cells[number % len(cells)]
            block = _block(number, run, step, value)
            crc = zlib.crc32(block, crc)
            closing = (check_text(crc) + end_text(number)).encode()
            crc = zlib.crc32(closing, crc)
            file.write(block + closing)
    return path.stat().st_size


def _block(number: int, run: int, step: int, value: float) -> bytes:
    if number == 1:
        return entry_text(entry_table(Reading(number, START, run, step, value))).encode()
    # The library that writes entries takes a tenth of a second for a thousand of them.
    text = f'\n[[entry]]\nkind = "reading"\ntime = {START.isoformat()}\nrun = {run}\nstep = {step}\nvalue = {value}\n'
    return text.encode()


@pytest.fixture(scope="module")
def million(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("million") / "s.toml"
    print(f"\n{write_million(path) / 1e6:.0f} MB")
    return path


@pytest.mark.parametrize(("what", "act"), [("opened and written to", OPEN), ("solved", SOLVE)])
def test_million_entries(million: Path, what: str, act: str) -> None:
    done = subprocess.run(
        [sys.executable, "-c", MEASURE.format(act=act), str(million)],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr[-2000:]
    seconds, megabytes = map(float, done.stdout.split())
    print(f"\n{what} in {seconds} s, {megabytes} MiB resident")
    assert json.loads(done.stdout.split()[0]) > 0
