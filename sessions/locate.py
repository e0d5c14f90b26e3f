"""Lines of a session file, for refusals that name the place."""

from __future__ import annotations

import re

ENTRY = re.compile(rb"^[ \t]*\[\[[ \t]*entry[ \t]*\]\][ \t]*(?:#[^\n]*)?$", re.MULTILINE)
"""The first line of an entry."""


def line_of(data: bytes, position: int) -> int:
    """Return the number, from 1, of the line that holds byte `position`."""
    return data.count(b"\n", 0, position) + 1


def entry_line(data: bytes, number: int, key: str = "") -> int | None:
    """Return the line of a key of entry `number`, or that of the entry's first line."""
    starts = [match.start() for match in ENTRY.finditer(data)]
    if not 1 <= number <= len(starts):
        return None
    start = starts[number - 1]
    end = starts[number] if number < len(starts) else len(data)
    found = _key(data, key.split(".")[0], start, end) if key else None
    return line_of(data, start if found is None else found)


def header_line(data: bytes, field: str) -> int | None:
    """Return the line of a header field, as "design.offsets", or that of its table."""
    first = ENTRY.search(data)
    start, end = 0, first.start() if first else len(data)
    part, _, key = field.rpartition(".")
    if part:
        table = re.compile(rb"^[ \t]*\[[ \t]*%s[ \t]*\]" % re.escape(part.encode()), re.MULTILINE)
        opened = table.search(data, 0, end)
        if opened is None:
            return None
        start = opened.start()
        found = _key(data, key, start, end)
        return line_of(data, start if found is None else found)
    found = _key(data, key, start, end)
    return None if found is None else line_of(data, found)


def _key(data: bytes, key: str, start: int, end: int) -> int | None:
    name = re.escape(key.encode())
    found = re.compile(rb"^[ \t]*[\"']?%s[\"']?[ \t]*=" % name, re.MULTILINE).search(data, start, end)
    return found.start() if found else None
