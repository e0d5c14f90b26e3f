"""Typed values out of a TOML table: each asked for by name, each refusal says where and what instead."""

from __future__ import annotations

import difflib
import math
import unicodedata
from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Any, TypeVar

from solver.refused import Refused

#: No angle, temperature or tolerance of this trade comes near it; beyond it squares would lose their meaning.
LARGEST = 1e12

_SHOWN = 60
_HUGE = 10**100
Word = TypeVar("Word", bound=str)


def one_line(text: str) -> str:
    """Return a text on one line, cut short if it is long."""
    shown = "".join(letter if letter.isprintable() else "·" for letter in text[:_SHOWN])
    return shown + ("…" if len(text) > _SHOWN else "")


def described(value: object) -> str:
    """Return a TOML value on one line, texts in quotes, cut short if it is long."""
    if isinstance(value, str):
        return f'"{one_line(value)}"'
    if isinstance(value, int) and abs(value) > _HUGE:
        return "a number of more than a hundred digits"  # Python may refuse to write it out
    return one_line(str(value).lower() if isinstance(value, bool) else str(value))


def nearest(word: str, known: Iterable[str]) -> str:
    """Return the remedy that names the known word nearest to `word`."""
    found = difflib.get_close_matches(word, sorted(known), n=1, cutoff=0.0)
    return f'the nearest known one is "{found[0]}"' if found else ""


def refuse_control(text: str, where: str, *, lines: bool = False) -> None:
    """Refuse a text that holds control characters; with `lines`, line ends and tabs may stand."""
    for character in text:
        if unicodedata.category(character) in ("Cc", "Cs") and not (lines and character in "\n\t"):
            raise Refused(
                f"the text holds the control character U+{ord(character):04X}",
                where=where,
                remedy="take it out",
            )


class Fields:
    """A TOML table that is read field by field.

    Parameters
    ----------
    table : mapping
        As `tomllib` gives it.
    where : str
        Name of the table, put before the field's name in a refusal; empty at the top.
    known : iterable of str
        Every key that may stand in the table.

    Raises
    ------
    Refused
        At once for a key that is not known, and by each method for a value that does not fit.
    """

    def __init__(self, table: object, where: str, known: Iterable[str]) -> None:
        if not isinstance(table, Mapping):
            raise Refused(
                f"{described(table)} stands where a table is needed",
                where=where,
                remedy="write a table there",
            )
        self.table: Mapping[str, Any] = table
        self.where = where
        names = set(known)
        for key in table:
            if key not in names:
                raise Refused(
                    f"unknown key {described(key)}",
                    where=self.place(one_line(key)),
                    remedy=nearest(key, names),
                )

    def place(self, key: str) -> str:
        """Return the full name of a key."""
        return f"{self.where}.{key}" if self.where else key

    def required(self, key: str) -> Any:
        """Return a value that must be there."""
        if key not in self.table:
            raise Refused(f'"{key}" is missing', where=self.place(key), remedy=f'add a line "{key} = …"')
        return self.table[key]

    def refuse(self, key: str, needed: str) -> Refused:
        """Return the refusal of the value at `key`, saying what is needed instead."""
        return Refused(
            f"{described(self.table[key])} stands where {needed} is needed",
            where=self.place(key),
            remedy="put the value right",
        )

    def text(self, key: str, default: str | None = None, *, lines: bool = False, empty: bool = True) -> str:
        """Return a text, without control characters; with `lines` it may hold line ends and tabs."""
        value = self.required(key) if default is None else self.table.get(key, default)
        if not isinstance(value, str):
            raise self.refuse(key, "a text")
        refuse_control(value, self.place(key), lines=lines)
        if not empty and not value.strip():
            raise Refused("the text is empty", where=self.place(key), remedy="say it in a few words")
        return value

    def choice(self, key: str, choices: tuple[Word, ...], default: Word) -> Word:
        """Return one of a few words."""
        value = self.table.get(key, default)
        for choice in choices:
            if choice == value:
                return choice
        raise Refused(
            f"{described(value)} is none of " + ", ".join(f'"{word}"' for word in choices),
            where=self.place(key),
            remedy=nearest(str(value), choices),
        )

    def whole(self, key: str, low: int, high: int, default: int | None = None) -> int:
        """Return a whole number from `low` to `high`."""
        value = self.required(key) if default is None else self.table.get(key, default)
        if type(value) is not int or not low <= value <= high:
            raise self.refuse(key, f"a whole number from {low} to {high}")
        return value

    def wholes(self, key: str, low: int, high: int) -> tuple[int, ...]:
        """Return a list of whole numbers, each from `low` to `high`."""
        values = self.required(key)
        needed = f"a list of whole numbers from {low} to {high}"
        if not isinstance(values, list | tuple):
            raise self.refuse(key, needed)
        for value in values:
            if type(value) is not int or not low <= value <= high:
                raise Refused(
                    f"{described(value)} stands where {needed} is needed",
                    where=self.place(key),
                    remedy="put the value right",
                )
        return tuple(values)

    def pairs(self, key: str, low: int, high: int) -> tuple[tuple[int, int], ...]:
        """Return a list of pairs of whole numbers, each from `low` to `high`; none where the key is absent."""
        values = self.table.get(key, ())
        needed = f"a list of pairs of whole numbers from {low} to {high}"
        if not isinstance(values, list | tuple):
            raise self.refuse(key, needed)
        for pair in values:
            fits = isinstance(pair, list | tuple) and len(pair) == 2
            if not fits or not all(type(value) is int and low <= value <= high for value in pair):
                raise Refused(
                    f"{described(pair)} stands where {needed} is needed",
                    where=self.place(key),
                    remedy="put the value right",
                )
        return tuple((pair[0], pair[1]) for pair in values)

    def real(self, key: str) -> float:
        """Return a finite number; a whole number will do, true and false will not."""
        value = self.required(key)
        if type(value) not in (int, float) or not abs(value) <= LARGEST or not math.isfinite(value):
            raise self.refuse(key, "a finite number")
        return float(value)

    def optional(self, key: str) -> float | None:
        """Return a finite number, or None where the key is absent."""
        return self.real(key) if key in self.table else None

    def positive(self, key: str) -> float | None:
        """Return a number above 0, or None where the key is absent."""
        value = self.optional(key)
        if value is not None and value <= 0:
            raise self.refuse(key, "a number above 0")
        return value

    def flag(self, key: str, default: bool) -> bool:
        """Return true or false."""
        value = self.table.get(key, default)
        if not isinstance(value, bool):
            raise self.refuse(key, "true or false")
        return value

    def moment(self, key: str) -> datetime:
        """Return a date and time that carries its offset from UTC."""
        value = self.required(key)
        if not isinstance(value, datetime):
            raise self.refuse(key, "a date and time")
        if value.utcoffset() is None:
            raise Refused(
                f"{value.isoformat()} does not say its offset from UTC",
                where=self.place(key),
                remedy=f"add the offset, as in {value.isoformat()}+00:00",
            )
        return value
