"""The running check of a session file: CRC-32 of every byte before a check line."""

from __future__ import annotations

import re
import zlib

from sessions.locate import line_of
from solver.refused import Refused

_CHECK = re.compile(rb'\ncheck = "([0-9a-f]{8})"\n')


def verified(data: bytes, checks: int) -> int:
    """Verify every check line and return the CRC-32 (zlib) of all of `data`, for the next one.

    Parameters
    ----------
    data : bytes
        The file up to the end of its last whole entry, line ends as on Linux.
    checks : int
        How many entries carry a check; files written by hand have none.

    Raises
    ------
    Refused
        With the stretch of lines in which something was changed.
    """
    crc, done, right, seen = 0, 0, 0, 0
    for match in _CHECK.finditer(data):
        line = match.start() + 1
        crc = zlib.crc32(data[done:line], crc)
        if f"{crc:08x}".encode() != match[1]:
            raise _damage(data, right, line)
        done, right, seen = line, match.end(), seen + 1
    if seen != checks:
        raise _damage(data, right, len(data) - 1)
    return zlib.crc32(data[done:], crc)


def _damage(data: bytes, first: int, last: int) -> Refused:
    lines = f"lines {line_of(data, first)} to {line_of(data, last)}"
    return Refused(
        f"something was changed in {lines} after it was written: the check does not fit",
        where=lines.replace("lines", "line").split(" to ")[0],
        remedy="restore the file from a copy; what is recorded is corrected in the program, where it leaves a trace",
    )
