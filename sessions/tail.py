"""The end of a session file: where the last whole entry ends, and whether what follows is a cut entry."""

from __future__ import annotations

import re

from sessions.entry_tables import known_keys
from sessions.header import FORMAT
from sessions.locate import ENTRY
from sessions.toml_text import read_toml

#: An append that power failure cut may leave zeros in place of its bytes, up to a page or so.
_ZEROS = 4096

#: Digits of an entry's number; one of thousands is none, and Python refuses to read it.
_LONGEST = 9

_END = re.compile(rb"[ \t]*end[ \t]*=[ \t]*([0-9]+)[ \t]*(?:#[^\n]*)?(?:\n|\Z)")
_SEAL = re.compile(rb"# This header has ([0-9]{1,9}) lines\.")
_IDLE = re.compile(rb"(?:[ \t]*(?:#[^\n]*)?(?:\n|\Z))*")
_OPEN_NUMBER = re.compile(rb"=[ \t]*[-+0-9][-+0-9a-zA-Z_.:]*\Z")


def whole_length(data: bytes) -> int:
    """Return where the last whole entry ends, or the header where there is no whole entry.

    An `end` line without its line end, as the last line of the file, is whole if its number is right; if that
    is only the beginning of the right number, the entry is cut.

    Parameters
    ----------
    data : bytes
        The file, line ends as on Linux.
    """
    position = len(data)
    while (found := _last_end(data, position)) is not None:
        start, stop, number = found
        if data.endswith(b"\n") or stop < len(data):
            return stop
        before = _last_end(data, start)
        due = str(before[2] + 1 if before else 1)
        if str(number) == due or not due.startswith(str(number)):
            return stop
        position = start
    first = ENTRY.search(data)
    if first:
        return first.start()
    last = data.rfind(b"\n") + 1
    return last if data[last:] and b"[[entry]]".startswith(data[last:]) else len(data)


def _last_end(data: bytes, before: int) -> tuple[int, int, int] | None:
    """Return start, stop and number of the last `end` line that starts before a position."""
    while (position := data.rfind(b"end", 0, before)) >= 0:
        start = data.rfind(b"\n", 0, position) + 1
        match = _END.match(data, start)
        if match and len(match[1]) <= _LONGEST:
            return start, match.end(), int(match[1])
        before = start  # what is no `end` line as a whole holds none
    return None


def cut_header(data: bytes) -> str:
    """Return in words why a file without any entry looks cut in its header, or nothing."""
    if ENTRY.search(data):
        return ""
    seal = _SEAL.match(data)
    there = data.count(b"\n")
    if seal and there < int(seal[1]):
        return f"the header has {int(seal[1])} lines and only {there} of them are here"
    if FORMAT.encode() in data and _OPEN_NUMBER.search(data):
        return "the last line of the header may be cut"
    return ""


def idle(tail: bytes) -> bool:
    """Return whether there is nothing but space and comments."""
    match = _IDLE.match(tail)
    return match is not None and match.end() == len(tail)


def is_cut_entry(tail: bytes, number: int) -> bool:
    """Return whether a tail is the beginning of entry `number`, and so what an interrupted append leaves.

    Parameters
    ----------
    tail : bytes
        What follows the last whole entry, from the beginning of a line.
    number : int
        The number that the entry would have had.
    """
    stripped = tail.rstrip(b"\0")
    if len(tail) - len(stripped) > _ZEROS:
        return False
    whole, _, partial = stripped.rpartition(b"\n")
    try:
        text = (whole + b"\n").decode()
    except UnicodeDecodeError:
        return False
    keys = known_keys() - {"end"}
    opened = ENTRY.search(whole)
    if opened is None:
        return idle(whole) and b"[[entry]]".startswith(partial.strip())
    for closing in ("", '"""', "'''", "]", '"]'):
        try:
            table = read_toml(text + closing)
        except ValueError:
            continue
        entries = table.get("entry")
        if list(table) != ["entry"] or not isinstance(entries, list) or len(entries) != 1:
            return False
        if not keys.issuperset(entries[0]):
            return False
        return bool(closing) or _begins_line(partial, number)
    return False


def _begins_line(partial: bytes, number: int) -> bool:
    """Return whether the last line, cut anywhere, is the beginning of a line of an entry."""
    line = partial.strip()
    key, equals, _ = line.partition(b"=")
    if line.startswith(b"#") or not line:
        return True
    name = key.strip().decode(errors="replace")
    if name == "end" and equals:
        return f"end = {number}".encode().startswith(line)
    if equals:
        return name in known_keys()
    return any(known.startswith(name) for known in known_keys())
