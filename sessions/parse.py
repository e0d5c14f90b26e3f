"""A session file read into a state: whole, or refused with the line and the reason."""

from __future__ import annotations

from dataclasses import dataclass

from sessions.contents import COPY, contents
from sessions.entries import Reading
from sessions.entry_tables import read_entry
from sessions.header import read_header, refuse_other_format
from sessions.integrity import verified
from sessions.locate import entry_line, header_line, line_of
from sessions.state import State
from sessions.tail import cut_header, idle, is_cut_entry, whole_length
from solver.refused import Refused

_BOM = b"\xef\xbb\xbf"


@dataclass(frozen=True, slots=True)
class Parsed:
    """A file that was read.

    Parameters
    ----------
    state : State
        After the last whole entry.
    length : int
        Bytes of the file up to where the next entry belongs.
    crc : int
        CRC-32 of those bytes, line ends as on Linux.
    tail : bytes
        A cut entry after `length`, as it stands in the file; empty where the file is whole.
    """

    state: State
    length: int
    crc: int
    tail: bytes


def parse(raw: bytes, name: str) -> Parsed:
    """Read a session file.

    Parameters
    ----------
    raw : bytes
        The whole file.
    name : str
        What to call the file in a refusal.

    Raises
    ------
    Refused
        With file, line, reason and remedy, for anything wrong but a cut last entry.
    """
    data = raw.removeprefix(_BOM).replace(b"\r\n", b"\n").removesuffix(b"\r")
    if why := cut_header(data):
        raise Refused(why, where=name, remedy=f"{COPY}; or, if nothing is missing, {_MEND}")
    length = whole_length(data)
    cut = not idle(data[length:])
    whole = data[:length] if cut else data
    found = contents(whole, name)
    try:
        refuse_other_format(found.header)
    except Refused as refusal:
        raise _in_header(refusal, name, data) from None
    if cut and not is_cut_entry(data[length:], len(found.entries) + 1):
        shown = len(data) - len(data[length:].lstrip())
        raise _no_entry(name, line_of(data, shown), len(found.entries))
    crc = _verified(whole, found.checks, name)
    try:
        state = State(read_header(found.header))
    except Refused as refusal:
        raise _in_header(refusal, name, data) from None
    for number, item in enumerate(found.entries, 1):
        try:
            entry = item if isinstance(item, Reading) else read_entry(item, number)
        except Refused as refusal:
            raise _in_entry(refusal, name, data, number, refusal.remedy or COPY) from None
        try:
            state.refuse_illegal(entry)
        except Refused as refusal:
            raise _in_entry(refusal, name, data, number, f"put the entry right, or {COPY}") from None
        state.apply(entry)
    tail = raw.split(b"\n", whole.count(b"\n"))[-1] if cut else b""
    return Parsed(state, len(raw) - len(tail), crc, tail)


_MEND = "take out its first line if that is a comment, and end the last line with a line break"


def _verified(whole: bytes, checks: int, name: str) -> int:
    try:
        return verified(whole, checks)
    except Refused as refusal:
        raise Refused(refusal.what, where=f"{name}, {refusal.where}", remedy=refusal.remedy) from None


def _in_header(refusal: Refused, name: str, data: bytes) -> Refused:
    line = header_line(data, refusal.where)
    place = f"{name}, line {line}" if line else name
    return Refused(refusal.what, where=f"{place}, {refusal.where}", remedy=refusal.remedy)


def _in_entry(refusal: Refused, name: str, data: bytes, number: int, remedy: str) -> Refused:
    line = entry_line(data, number, refusal.where)
    place = f"{name}, line {line}" if line else name
    return Refused(refusal.what, where=f"{place}, entry {number}", remedy=remedy)


def _no_entry(name: str, line: int, entries: int) -> Refused:
    after = f"entry {entries}" if entries else "the header"
    return Refused(
        f"what follows {after} is neither an entry nor the beginning of one",
        where=f"{name}, line {line}",
        remedy=f"{COPY}, or take out what follows {after}",
    )
