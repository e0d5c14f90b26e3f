"""From the command to the first paint, against a bare Textual hello on the same pseudo-terminal.

Run on demand: python -m pytest tests/benchmarks/test_start.py -s
"""

from __future__ import annotations

import os
import select
import signal
import statistics
import subprocess
import sys
import time
from pathlib import Path

import pytest

termios = pytest.importorskip("termios", reason="pseudo-terminals are of POSIX")

ROUNDS = 15
HELLO = """
from textual.app import App
from textual.widgets import Static
class Hello(App):
    def compose(self):
        yield Static("Hello there")
Hello().run()
"""
MAIN = "import sys; from tui.cli import main; sys.exit(main(sys.argv[1:]))"


def painted(arguments: list[str], sign: bytes, folder: Path) -> float:
    """Return the seconds until `sign` is drawn on a terminal of 120 x 36."""
    import pty

    ours, theirs = pty.openpty()
    termios.tcsetwinsize(theirs, (36, 120))
    environment = os.environ | {"TERM": "xterm-256color", "FULLTURN_FOLDER": str(folder)}
    begun = time.perf_counter()
    child = subprocess.Popen(
        [sys.executable, "-c", *arguments], stdin=theirs, stdout=theirs, stderr=theirs, env=environment
    )
    os.close(theirs)
    seen = b""
    try:
        while sign not in seen:
            ready, _, _ = select.select([ours], [], [], 20)
            assert ready, f"nothing like {sign!r} in {seen[-2000:]!r}"
            seen += os.read(ours, 65536)
        return time.perf_counter() - begun
    finally:
        child.send_signal(signal.SIGKILL)
        child.wait()
        os.close(ours)


def test_start_to_first_paint(tmp_path: Path) -> None:
    cases = {
        "bare Textual hello": ([HELLO], b"Hello there"),
        "fullturn": ([MAIN], b"Calibrates"),
        "fullturn demo": ([MAIN, "demo"], b"Opening"),
        "fullturn demo, ready for a reading": ([MAIN, "demo"], b"Lower to"),
    }
    times: dict[str, list[float]] = {name: [] for name in cases}
    for number in range(ROUNDS):
        for name, (arguments, sign) in cases.items():
            folder = tmp_path / f"{number}"
            times[name].append(painted(arguments, sign, folder))
    hello = statistics.median(times["bare Textual hello"])
    print()
    for name, found in times.items():
        median = statistics.median(found)
        print(f"{name}: {median * 1000:.0f} ms, {median / hello:.2f} x a bare hello")
    assert times["fullturn"]
