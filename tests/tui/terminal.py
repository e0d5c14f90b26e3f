"""A terminal for tests of the real program: a pseudo terminal with a screen, strict about what may be written to it."""

from __future__ import annotations

import codecs
import contextlib
import fcntl
import os
import pty
import re
import select
import signal
import struct
import sys
import termios
import time
import unicodedata
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Self

#: All that Textual 8 writes to a terminal apart from text, as seen (ECMA-48; xterm's list of control sequences).
_KNOWN = re.compile(
    r"""
      \x1b\[ (?P<row>\d+) ; (?P<column>\d+) H      # cursor
    | \x1b\[ (?P<style>(?:0|1|2|3|4|7|9|[34]8|5|2[1-9]|[;\d])*) m
    | \x1b\[ \? \d+ [hl]                           # modes
    | \x1b\[ \? \d+ \$p                            # is a mode known?
    | \x1b\[ (?:>\d+|<) u                          # keys
    | \x1b\] 22 ; default \x07                     # pointer
    """,
    re.VERBOSE,
)
_ANY = re.compile(r"\x1b(?:\[[0-?]*[ -/]*[@-~]|[\]P_^X][^\x07\x1b]*(?:\x07|\x1b\\)|[^\[\]P_^X])")


def strange_in(text: str) -> list[str]:
    """Return the control characters and overriding marks of a text that no terminal should be sent by a name."""
    return [sign for sign in text if _harmful(sign) and sign not in "\n\t"]


def _harmful(sign: str) -> bool:
    return (
        unicodedata.category(sign) == "Cc" or sign in "\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
    )


class Painted:
    """What stands on a screen after all bytes written to it; escapes that Textual does not write are kept apart.

    Attributes
    ----------
    strange : list of str
        Unknown escape sequences and control characters, in the order in which they came.
    """

    def __init__(self, columns: int, rows: int) -> None:
        self.strange: list[str] = []
        self._decode = codecs.getincrementaldecoder("utf-8")("replace").decode
        self._rest = ""
        self.resize(columns, rows)

    def resize(self, columns: int, rows: int) -> None:
        """Begin anew at another size."""
        self._cells = [[" "] * columns for _ in range(rows)]
        self._row = self._column = 0

    @property
    def lines(self) -> list[str]:
        """The lines of the screen."""
        return ["".join(row).rstrip() for row in self._cells]

    @property
    def text(self) -> str:
        """The whole screen."""
        return "\n".join(self.lines)

    def feed(self, data: bytes) -> None:
        """Paint what was written."""
        text, place = self._rest + self._decode(data), 0
        while place < len(text):
            if text[place] != "\x1b":
                self._put(text[place])
                place += 1
                continue
            found = _ANY.match(text, place)
            if found is None:
                if len(text) - place > 4000:  # no sequence is that long
                    self.strange.append(text[place : place + 40])
                    place += 1
                    continue
                break
            place = found.end()
            known = _KNOWN.fullmatch(found[0])
            if known is None:
                self.strange.append(found[0])
            elif known["row"]:
                self._row, self._column = int(known["row"]) - 1, int(known["column"]) - 1
        self._rest = text[place:]

    def _put(self, sign: str) -> None:
        if sign == "\n":
            self._row, self._column = self._row + 1, 0
        elif sign == "\r":
            self._column = 0
        elif sign == "\x07":
            pass
        elif _harmful(sign):
            self.strange.append(sign)
        elif not unicodedata.combining(sign):
            if self._row < len(self._cells) and self._column < len(self._cells[0]):
                self._cells[self._row][self._column] = sign
            self._column += 2 if unicodedata.east_asian_width(sign) in "WF" else 1


class Terminal:
    """The program in a terminal of its own, as a person has it.

    Parameters
    ----------
    arguments : sequence of str or bytes
        What follows `fullturn`.
    folder : Path
        Home, folder of the sessions, and everything else that the program might look for.
    columns, rows : int
        The size to begin with.
    """

    def __init__(
        self, arguments: Sequence[str | bytes], folder: Path, columns: int = 80, rows: int = 24
    ) -> None:
        self.painted = Painted(columns, rows)
        self.ended: int | None = None
        self.on_paint: Callable[[], None] = lambda: None
        kept = {name: os.environ[name] for name in ("PATH", "LANG", "LC_ALL") if name in os.environ}
        environment = kept | {
            "TERM": "xterm-256color",
            "HOME": str(folder),
            "FULLTURN_FOLDER": str(folder),
            "OPENBLAS_NUM_THREADS": "1",
            "PYTHONUTF8": "1",
        }
        self.process, self._master = pty.fork()
        if self.process == 0:
            # The size before the program begins, as a terminal has it.
            fcntl.ioctl(0, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))
            os.execve(sys.executable, [sys.executable, "-m", "tui", *arguments], environment)
        os.set_blocking(self._master, False)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        if self.ended is None:
            self.signal(signal.SIGKILL)
            self.wait()
        with contextlib.suppress(OSError):
            os.close(self._master)

    def type(self, text: str | bytes) -> None:
        """Type, without waiting for anything."""
        data = text.encode() if isinstance(text, str) else text
        while data:
            try:
                data = data[os.write(self._master, data) :]
            except BlockingIOError:
                self.read(0.01)

    def read(self, seconds: float) -> bool:
        """Paint what comes within some time, and return whether anything came."""
        if not select.select([self._master], [], [], seconds)[0]:
            return False
        try:
            data = os.read(self._master, 1 << 16)
        except OSError:  # how Linux says that nobody is at the other end any more
            return False
        self.painted.feed(data)
        self.on_paint()
        return bool(data)

    def until(self, words: str, seconds: float = 20.0) -> None:
        """Wait until some words stand on the screen."""
        self.until_true(lambda: words in self.painted.text, f"“{words}”", seconds)

    def until_true(self, reached: Callable[[], bool], what: str, seconds: float = 20.0) -> None:
        """Wait until something is reached."""
        end = time.monotonic() + seconds
        while not reached():
            self.read(0.02)
            if time.monotonic() > end:
                raise AssertionError(f"{what} did not come; the screen:\n{self.painted.text}")

    def settle(self, quiet: float = 0.2) -> None:
        """Read on until nothing came for a while."""
        while self.read(quiet):
            pass

    def resize(self, columns: int, rows: int) -> None:
        """Give the window another size; the system tells the program."""
        self.painted.resize(columns, rows)
        fcntl.ioctl(self._master, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))

    def signal(self, number: signal.Signals) -> None:
        """Send the program a signal."""
        os.kill(self.process, number)

    def close(self) -> None:
        """Close the window."""
        os.close(self._master)

    def state(self) -> str:
        """Return the state of the process by one letter, as T for stopped (proc(5)); empty where it is unknown."""
        found = Path(f"/proc/{self.process}/stat")
        return found.read_text(encoding="utf-8").rsplit(")", 1)[1].split()[0] if found.exists() else ""

    def wait(self, seconds: float = 20.0) -> int:
        """Wait for the end of the process and return its exit status, or minus the signal that ended it."""
        end = time.monotonic() + seconds
        while self.ended is None:
            process, status = os.waitpid(self.process, os.WNOHANG)
            if process:
                self.ended = os.waitstatus_to_exitcode(status)
            elif time.monotonic() > end:
                raise AssertionError(f"the program did not end; the screen:\n{self.painted.text}")
            else:
                with contextlib.suppress(OSError, ValueError):
                    self.read(0.01)
        return self.ended
