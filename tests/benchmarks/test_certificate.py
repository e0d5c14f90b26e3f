"""How long a certificate takes, beside reading the session and solving it.

Run as `python -m pytest tests/benchmarks/test_certificate.py -s`.
"""

from __future__ import annotations

import subprocess
import sys
from datetime import date
from pathlib import Path
from time import perf_counter

import pytest

from sessions.analysis import analyse
from sessions.certificate.write import ENDINGS, write
from sessions.certificate_data import certificate
from sessions.session import Session
from tests.sessions.certified import certified, header


@pytest.mark.parametrize("positions", [12, 36, 72])
def test_certificate(tmp_path: Path, positions: int) -> None:
    path = tmp_path / "a.toml"
    certified(path, header(positions)).close()
    start = perf_counter()
    with Session.read(path) as session:
        analyse(session.matrix.snapshot())
        solved = perf_counter() - start
        start = perf_counter()
        made = certificate(session, date(2026, 5, 1))
        gathered = perf_counter() - start
    print(
        f"\n{positions} × {positions}: read and solved {solved:.2f} s, gathered {gathered / solved:.1f} times that"
    )
    for ending in ENDINGS:
        start = perf_counter()
        write(made, tmp_path / f"out{ending}")
        size = (tmp_path / f"out{ending}").stat().st_size
        print(f"  {ending:<6} {(perf_counter() - start) / solved:5.1f} times that, {size / 1000:.0f} kB")


def test_command_beside_an_empty_python(tmp_path: Path) -> None:
    path = tmp_path / "a.toml"
    certified(path, header(72)).close()
    out = tmp_path / "a.pdf"
    command = f"from tui.cli import main; main(['report', {str(path)!r}, '-o', {str(out)!r}])"
    times = []
    for code in ("import numpy, matplotlib.figure, reportlab.platypus", command):
        start = perf_counter()
        subprocess.run([sys.executable, "-c", code], check=True, stdout=subprocess.DEVNULL)
        times.append(perf_counter() - start)
    print(
        f"\n72 × 72 as PDF, the whole command: {times[1]:.2f} s, {times[1] / times[0]:.1f} times its bare imports"
    )
