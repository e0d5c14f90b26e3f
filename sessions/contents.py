"""The bytes of a session file taken apart: its header's table, and a reading or a table for each entry."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sessions.entries import Reading
from sessions.fields import LARGEST, described
from sessions.locate import line_of
from sessions.toml_text import read_toml
from solver.refused import Refused

COPY = "restore the file from a copy"

_ENTRY = b"\n[[entry]]\n"
#: Blocks that another program wrote in another way are faster read as a whole.
_STRANGE = 100

_END = re.compile(rb"^[ \t]*end[ \t]*=[^\n]*(?:\n|\Z)", re.MULTILINE)
_LINE = re.compile(r" \(at (?:line (\d+), column \d+|end of document)\)")

#: A reading in the usual order of its keys; what matches means the same to any TOML reader.
_READING = re.compile(
    rb'\n?\[\[entry\]\]\nkind *= *"reading"\n'
    rb"time *= *(\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(?:\.\d{1,6})?(?:Z|[+-](?:[01]\d|2[0-3]):[0-5]\d))\n"
    rb"run *= *(0|[1-9]\d{0,5})\nstep *= *(0|[1-9]\d{0,5})\n"
    rb"value *= *([+-]?(?:0|[1-9]\d{0,15})(?:\.\d{1,17})?(?:[eE][+-]?\d\d?)?)\n"
    rb'(check = "[0-9a-f]{8}"\n)?end *= *([1-9]\d{0,8})(?:\n|\Z)'
)


@dataclass(frozen=True, slots=True)
class Contents:
    """A file taken apart.

    Parameters
    ----------
    header : dict
        The table of the header.
    entries : list
        For each entry a reading, where it stands as this program writes it, or else its table.
    checks : int
        Number of entries that carry a check.
    """

    header: dict[str, Any]
    entries: list[Reading | Mapping[str, Any]]
    checks: int


def contents(data: bytes, name: str) -> Contents:
    """Take a file apart.

    Parameters
    ----------
    data : bytes
        The file up to the end of its last whole entry, line ends as on Linux.
    name : str
        What to call the file in a refusal.

    Raises
    ------
    Refused
        Where it is not TOML or its entries do not stand where they belong.
    """
    return _quick(data) or _thorough(data, name)


def _quick(data: bytes) -> Contents | None:
    """Take a file apart block by block, many times faster than whole; None at the first thing unusual."""
    position = data.find(_ENTRY)
    if position < 0:
        return None
    entries: list[Reading | Mapping[str, Any]] = []
    checks = strange = 0
    try:
        header = read_toml(data[:position].decode())
        while position < len(data):
            match = _READING.match(data, position)
            if match:
                time, run, step, text, check, number = match.groups()
                value = float(text)
                if int(number) != len(entries) + 1 or not abs(value) <= LARGEST:
                    return None
                moment = datetime.fromisoformat(time.decode())
                entries.append(Reading(len(entries) + 1, moment, int(run), int(step), value))
                checks += check is not None
            else:
                match = _END.search(data, position)
                stop = match.end() if match else len(data)
                table = read_toml(data[position:stop].decode())
                found = table.get("entry", [])
                if list(table) != ["entry"][: len(table)] or not _blocks(found) or len(found) > 1:
                    return None
                if match and not found:
                    return None
                strange += any(entry.get("kind") == "reading" for entry in found)
                if strange > _STRANGE:
                    return None
                entries.extend(found)
                checks += sum("check" in entry for entry in found)
            position = match.end() if match else len(data)
    except ValueError:
        return None
    return None if "entry" in header else Contents(header, entries, checks)


def _blocks(entries: object) -> bool:
    """Return whether this is a list of tables, as `[[entry]]` makes it."""
    return isinstance(entries, list) and all(isinstance(entry, dict) for entry in entries)


def _thorough(data: bytes, name: str) -> Contents:
    """Take a file apart as one TOML document, with the line of whatever is wrong."""
    try:
        table = read_toml(data.decode())
    except UnicodeDecodeError as error:
        line = line_of(data, error.start)
        raise Refused("a byte is not UTF-8 text", where=f"{name}, line {line}", remedy=COPY) from None
    except ValueError as error:
        found = _LINE.search(str(error))
        reason = _LINE.sub("", str(error)).rstrip(".")
        where = f"{name}, line {found[1] or line_of(data, len(data))}" if found else name
        raise Refused(
            f"this is not TOML: {reason[:1].lower()}{reason[1:]}", where=where, remedy=COPY
        ) from None
    entries = table.get("entry", [])
    if not _blocks(entries):
        raise Refused(
            "entry is not a block", where=f"{name}, entry", remedy="begin each entry with the line [[entry]]"
        )
    if entries and list(table)[-1] != "entry":
        raise Refused(
            f"{described(list(table)[-1])} of the header stands after the first entry",
            where=name,
            remedy="move it before the first [[entry]]",
        )
    header = {key: value for key, value in table.items() if key != "entry"}
    return Contents(header, entries, sum("check" in entry for entry in entries))
