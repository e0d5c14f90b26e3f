"""Entries to and from the tables that stand for them in the file."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from datetime import datetime
from typing import Any

from sessions.entries import Amend, Conditions, Entry, Keep, Note, Reading, Restore, Setup, Split, Strike
from sessions.fields import Fields, described, nearest, refuse_control
from solver.refused import Refused

#: Numbers of runs, steps and entries stay below this, which only keeps absurd numbers out of refusals.
_MANY = 10**9

#: Keys of each kind of entry besides kind, time, check and end, in the order in which they are written.
KEYS: Mapping[str, tuple[str, ...]] = {
    "reading": ("run", "step", "value"),
    "strike": ("entry", "reason"),
    "restore": ("entry", "reason"),
    "conditions": ("temperature", "pressure", "humidity", "remark"),
    "note": ("text",),
    "amend": ("field", "value", "reason"),
    "setup": ("worksheet", "result"),
    "keep": ("entry", "reason"),
    "split": ("run", "step", "reason"),
}
KINDS: Mapping[type, str] = {
    Reading: "reading",
    Strike: "strike",
    Restore: "restore",
    Conditions: "conditions",
    Note: "note",
    Amend: "amend",
    Setup: "setup",
    Keep: "keep",
    Split: "split",
}
#: Tables and lists within each other in a free value; `tomllib` and its like give up at some hundreds.
_DEEPEST = 50
_CHECK = re.compile("[0-9a-f]{8}")
_FRAME = ("kind", "time", "check", "end")


def known_keys() -> frozenset[str]:
    """Return every key that may stand in some entry."""
    return frozenset(_FRAME).union(*KEYS.values())


def entry_table(entry: Entry) -> dict[str, Any]:
    """Return the table of an entry without its check and its end; what is None is left out."""
    kind = KINDS[type(entry)]
    table: dict[str, Any] = {"kind": kind, "time": entry.time}
    table.update((key, getattr(entry, key)) for key in KEYS[kind])
    return {key: value for key, value in table.items() if value is not None}


def read_entry(table: Mapping[str, Any], number: int) -> Entry:
    """Read one entry on its own; whether it is legal where it stands is another question.

    Parameters
    ----------
    table : mapping
        One `[[entry]]` as `tomllib` gives it.
    number : int
        The number that its `end` must have.

    Raises
    ------
    Refused
        With the key in `where`.
    """
    kind = table.get("kind")
    if not isinstance(kind, str) or kind not in KEYS:
        if kind is None:
            raise Refused('"kind" is missing', where="kind", remedy="restore the file from a copy")
        raise Refused(
            f"unknown kind of entry {described(kind)}", where="kind", remedy=nearest(str(kind), KEYS)
        )
    fields = Fields(table, "", (*_FRAME, *KEYS[kind]))
    if fields.required("end") != number or type(table["end"]) is not int:
        raise Refused(
            f"the entry ends with end = {described(table['end'])} and is entry {number}",
            where="end",
            remedy="restore the file from a copy",
        )
    if list(table)[-1] != "end":
        raise Refused("end is not the last line of its entry", where="end", remedy="move it to the end")
    check = table.get("check", "00000000")
    if not isinstance(check, str) or not _CHECK.fullmatch(check):
        raise fields.refuse("check", "a text of eight hexadecimal digits")
    return _READERS[kind](fields, number, fields.moment("time"))


def _reason(fields: Fields) -> str:
    return fields.text("reason", lines=True, empty=False)


def _target(fields: Fields) -> int:
    return fields.whole("entry", 1, _MANY)


def _place(fields: Fields) -> tuple[int, int]:
    return fields.whole("run", 0, _MANY), fields.whole("step", 0, _MANY)


def _reading(fields: Fields, number: int, time: datetime) -> Reading:
    return Reading(number, time, *_place(fields), fields.real("value"))


def _strike(fields: Fields, number: int, time: datetime) -> Strike:
    return Strike(number, time, _target(fields), _reason(fields))


def _restore(fields: Fields, number: int, time: datetime) -> Restore:
    return Restore(number, time, _target(fields), fields.text("reason", "", lines=True))


def _conditions(fields: Fields, number: int, time: datetime) -> Conditions:
    temperature, pressure, humidity = (
        fields.optional(key) for key in ("temperature", "pressure", "humidity")
    )
    remark = fields.text("remark", "", lines=True)
    if temperature is pressure is humidity is None and not remark.strip():
        raise Refused(
            "nothing is noted", where="conditions", remedy="give a temperature, pressure, humidity or remark"
        )
    return Conditions(number, time, temperature, pressure, humidity, remark)


def _note(fields: Fields, number: int, time: datetime) -> Note:
    return Note(number, time, fields.text("text", lines=True, empty=False))


def _amend(fields: Fields, number: int, time: datetime) -> Amend:
    refuse_odd(fields.required("value"), "value")
    return Amend(number, time, fields.text("field", empty=False), fields.table["value"], _reason(fields))


def _setup(fields: Fields, number: int, time: datetime) -> Setup:
    result = fields.required("result")
    if not isinstance(result, Mapping):
        raise fields.refuse("result", "a table")
    refuse_odd(result, "result")
    return Setup(number, time, fields.text("worksheet", empty=False), result)


def _keep(fields: Fields, number: int, time: datetime) -> Keep:
    return Keep(number, time, _target(fields), _reason(fields))


def _split(fields: Fields, number: int, time: datetime) -> Split:
    return Split(number, time, *_place(fields), _reason(fields))


_READERS: Mapping[str, Callable[[Fields, int, datetime], Entry]] = {
    "reading": _reading,
    "strike": _strike,
    "restore": _restore,
    "conditions": _conditions,
    "note": _note,
    "amend": _amend,
    "setup": _setup,
    "keep": _keep,
    "split": _split,
}


def refuse_odd(value: object, where: str, depth: int = 0) -> None:
    """Refuse a free value that does not come back from TOML as it went in."""
    if depth > _DEEPEST:
        raise Refused("values are nested too deeply", where=where.split(".")[0], remedy="say it more plainly")
    if isinstance(value, str):
        refuse_control(value, where, lines=True)
    elif isinstance(value, Mapping):
        for key, item in value.items():
            if not isinstance(key, str):
                raise Refused(
                    f"the key {described(key)} is not a text", where=where, remedy="name it in words"
                )
            refuse_control(key, where)
            refuse_odd(item, f"{where}.{key}", depth + 1)
    elif isinstance(value, list | tuple):
        for item in value:
            refuse_odd(item, where, depth + 1)
    elif type(value) in (int, float):
        Fields({where: value}, "", (where,)).real(where)
    elif isinstance(value, datetime):
        Fields({where: value}, "", (where,)).moment(where)
    elif not isinstance(value, bool):
        raise Refused(
            f"a session file cannot hold {described(value)}", where=where, remedy="give a text or a number"
        )
