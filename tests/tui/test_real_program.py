"""The program itself in a terminal: killed, closed, suspended, resized while readings are typed."""

from __future__ import annotations

import os
import signal
from pathlib import Path

import pytest

if os.name == "nt":
    pytest.skip("Windows has no pseudo terminals of this kind", allow_module_level=True)

from sessions.session import Session
from tests.tui.real_program import CELLS, Witness, begin, kill_while_typing, typed
from tests.tui.terminal import Terminal

GREETING = "Every reading is on the disk"


def test_killed_while_readings_are_typed(tmp_path: Path) -> None:
    found = kill_while_typing(tmp_path, rounds=4, seed=3)
    assert found.shown >= 2


@pytest.mark.parametrize("how", ["signal", "window"])
def test_terminal_closed(tmp_path: Path, how: str) -> None:
    path = begin(tmp_path / "s.toml")
    with Terminal([str(path)], tmp_path) as terminal:
        witness = Witness(terminal)
        terminal.until(GREETING)
        terminal.type(typed(0, 40))
        terminal.until_true(lambda: witness.progress > 2, "some readings")
        if how == "window":
            terminal.close()
        else:
            terminal.signal(signal.SIGHUP)
        terminal.wait()
        assert 2 < witness.check(path) <= 40
    with Session.open(path) as session:
        assert session.read_only == ""


def test_suspended_and_resumed(tmp_path: Path) -> None:
    path = begin(tmp_path / "s.toml")
    with Terminal([str(path)], tmp_path) as terminal:
        witness = Witness(terminal)
        terminal.until(GREETING)
        for number in range(3):
            terminal.type(typed(10 * number, 5))
            terminal.until(f"{10 * number + 5} of {CELLS}")
            terminal.signal(signal.SIGTSTP)
            terminal.settle(0.1)
            if terminal.state():
                terminal.until_true(lambda: terminal.state() == "T", "a stop")
            assert witness.check(path) == 10 * number + 5
            assert Session.open(path).read_only
            terminal.signal(signal.SIGCONT)
            # What is typed the moment it goes on is taken too, and the screen is drawn up anew.
            terminal.type(typed(10 * number + 5, 5))
            terminal.until(f"{10 * number + 10} of {CELLS}")
        assert witness.check(path) == 30


def test_resized_while_readings_are_typed(tmp_path: Path) -> None:
    path = begin(tmp_path / "s.toml")
    sizes = [(20, 5), (200, 60), (20, 60), (200, 5), (1, 1), (20, 5), (80, 24)]
    with Terminal([str(path)], tmp_path) as terminal:
        terminal.until(GREETING)
        for number, (columns, rows) in enumerate(sizes):
            terminal.resize(columns, rows)
            for half in range(2):
                terminal.type(typed(8 * number + 4 * half, 4))
                terminal.settle(0.05)
            if (columns, rows) == (20, 5):
                # Of everything, what is to be set and what is being typed still show at this size.
                terminal.until_true(
                    lambda: (
                        any("run" in line for line in terminal.painted.lines)
                        and any("type" in line for line in terminal.painted.lines)
                    ),
                    "the place and the line typed into",
                )
        terminal.until(f"{8 * len(sizes)} of {CELLS}")
        assert Witness(terminal).check(path) == 8 * len(sizes)
