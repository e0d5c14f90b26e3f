"""The program itself in a terminal: readings typed into it while something happens to it."""

from __future__ import annotations

import random
import re
import signal
import time
from dataclasses import dataclass
from pathlib import Path

from sessions.design import Design
from sessions.entries import Reading
from sessions.header import Header
from sessions.session import Session
from tests.sessions.kit import Clock, QuickDisk
from tests.tui.terminal import Terminal

CELLS = 12 * 13
_PROGRESS = re.compile(rf"(\d+) of {CELLS}\b")
_TAKEN = re.compile(r"\+(\d+\.\d\d)″ taken: run (\d+), step (\d+)\.")
_IN_MATRIX = re.compile(r"\+(\d+\.\d\d)[²?‼◂▐ ]")


def begin(path: Path) -> Path:
    """Begin a session of 156 cells, read once each."""
    header = Header(Design(12, tuple(range(12))), title="in a terminal")
    Session.create(path, header, clock=Clock(), disk=QuickDisk()).close()
    return path


def value(number: int) -> float:
    """Return the reading typed as number `number`, from 0: no two are alike, so that each tells its place."""
    return round(1 + number / 100, 2)


def typed(first: int, count: int) -> str:
    """Return what is typed for some readings."""
    return "".join(f"{value(number):.2f}\r" for number in range(first, first + count))


class Witness:
    """Sees what the screen says was taken, with every paint.

    Attributes
    ----------
    said : set of (value, run, step)
        Readings that a line said were taken.
    progress : int
        The largest number of cells that the title said were done.
    """

    def __init__(self, terminal: Terminal) -> None:
        self.said: set[tuple[float, int, int]] = set()
        self.progress = 0
        self._terminal = terminal
        terminal.on_paint = self.look

    def look(self) -> None:
        """Note what the screen says now."""
        lines = self._terminal.painted.lines
        for found in _PROGRESS.finditer(lines[0]):
            self.progress = max(self.progress, int(found[1]))
        for line in lines[-3:]:
            self.said.update((float(each[1]), int(each[2]), int(each[3])) for each in _TAKEN.finditer(line))

    def check(self, path: Path) -> int:
        """Check that all that was shown as taken is in the file, as typed, in order; return how many readings are."""
        entries = [entry for entry in Session.read(path).entries if isinstance(entry, Reading)]
        assert [entry.value for entry in entries] == [value(number) for number in range(len(entries))]
        assert self.progress <= len(entries)
        assert self.said <= {(entry.value, entry.run, entry.step) for entry in entries}
        shown = {
            float(each[1])
            for line in self._terminal.painted.lines[1:16]
            for each in _IN_MATRIX.finditer(f"{line} ")
        }
        assert shown <= {entry.value for entry in entries}
        assert self._terminal.painted.strange == []
        return len(entries)


@dataclass(slots=True)
class Killed:
    """What came of killing the program: kills, readings in the files, readings that the screens had shown as taken."""

    kills: int = 0
    recorded: int = 0
    shown: int = 0
    while_typing: int = 0


def kill_while_typing(folder: Path, rounds: int, seed: int) -> Killed:
    """Type into the program and kill it at random moments, `rounds` times; check what it had shown."""
    chance, found = random.Random(seed), Killed()
    path, held = begin(folder / "0.toml"), 0
    for number in range(rounds):
        if held > CELLS - 60:
            path, held = begin(folder / f"{number}.toml"), 0
        burst = chance.choice([10, 30, 50])
        with Terminal([str(path)], folder) as terminal:
            witness = Witness(terminal)
            terminal.until("Resumed where" if held else "Every reading is on the disk")
            terminal.type(typed(held, burst))
            if number % 2:
                # In every other round only after something was shown: the moments in between are the tender ones.
                terminal.until_true(lambda seen=witness, before=held: seen.progress > before, "a reading")
            end = time.monotonic() + chance.uniform(0.0, 0.25)
            while (left := end - time.monotonic()) > 0:
                terminal.read(left)
            terminal.signal(signal.SIGKILL)
            assert terminal.wait() == -signal.SIGKILL
            while terminal.read(0.0):
                pass
            before, held = held, witness.check(path)
        found.kills += 1
        found.recorded += held - before
        found.shown += witness.progress - before
        found.while_typing += before < held < before + burst
    return found
