"""The text of a session file: values, the header and one block for each entry."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, datetime, time
from typing import Any

import tomli_w

from sessions.header import KNOWN, Header, header_table

_TABLES = tuple(name for name in KNOWN if name)


def toml_value(value: object) -> str:
    """Return a value as TOML on one line; tables and lists inline, which the library would spread over lines.

    Raises
    ------
    TypeError
        For what TOML has no word for; the boundary of the program has refused that before.
    """
    if isinstance(value, Mapping):
        inside = ", ".join(f"{toml_key(key)} = {toml_value(item)}" for key, item in value.items())
        return f"{{ {inside} }}" if inside else "{}"
    if isinstance(value, Sequence) and not isinstance(value, str):
        return "[" + ", ".join(toml_value(item) for item in value) + "]"
    if isinstance(value, datetime | date | time):
        # RFC 3339 with its T, as the file's contract shows it; the library writes a blank.
        return value.isoformat()
    return tomli_w.dumps({"v": value}).removeprefix("v = ").removesuffix("\n")


def toml_key(key: str) -> str:
    """Return a key, in quotes where it needs them."""
    return tomli_w.dumps({key: 0}).removesuffix(" = 0\n")


def lines(table: Mapping[str, Any]) -> str:
    """Return one line for each key."""
    return "".join(f"{toml_key(key)} = {toml_value(value)}\n" for key, value in table.items())


def header_text(header: Header) -> str:
    """Return the header as it is written, once, when a session begins.

    Its first line tells how many lines it has, so that a header that was cut does not pass for a shorter one.
    """
    table = header_table(header)
    parts = [lines({key: value for key, value in table.items() if key not in _TABLES})]
    parts += [f"[{name}]\n{lines(table[name])}" for name in _TABLES if name in table]
    body = "\n".join(parts)
    return (
        f"# This header has {body.count(chr(10)) + 1} lines. Entries follow it and are never changed.\n{body}"
    )


def entry_text(table: Mapping[str, Any]) -> str:
    """Return the block of an entry up to its check; it begins with a line end, for a line before it that lacks one."""
    return f"\n[[entry]]\n{lines(table)}"


def check_text(check: int) -> str:
    """Return the line that guards every byte before it."""
    return f'check = "{check:08x}"\n'


def end_text(number: int) -> str:
    """Return the last line of a block."""
    return f"end = {number}\n"
