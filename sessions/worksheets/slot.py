"""A line of a worksheet: what is asked, what stands there, and which numbers can."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import isfinite

from sessions.worksheets.sheet import Column, Field, Item
from sessions.worksheets.words import plain
from solver.refused import Refused

#: No length, angle or time of a setup comes near it.
_LARGEST = 1e9


@dataclass(frozen=True, slots=True)
class Slot:
    """One line of a worksheet.

    Parameters
    ----------
    item : Field or Column
        What it belongs to.
    place : float or None
        Place in the column.
    label, unit, hint : str
        What is asked for, its unit, and what to do.
    text : str
        What counts, as it is shown; "" where nothing does.
    typed : bool
        Whether that was typed, and not merely proposed.
    needed : bool
        Whether the worksheet is not complete without it.
    """

    item: Item
    place: float | None
    label: str
    unit: str
    hint: str
    text: str
    typed: bool
    needed: bool

    @property
    def missing(self) -> bool:
        """Whether it still has to be typed."""
        return self.needed and not self.text

    @property
    def identity(self) -> tuple[str, float | None]:
        """The name of what the line is kept under, and the key in a column."""
        if isinstance(self.item, Field):
            return self.item.key, None
        return self.item.name, next(key for key, place in keys(self.item).items() if place == self.place)

    @property
    def wanted(self) -> str:
        """What to type, in words."""
        field = self.item
        if isinstance(field, Field):
            if field.options:
                return self.hint
            if isfinite(field.least) and isfinite(field.most):
                return f"type a number from {field.least:g} to {field.most:g}"
            if field.above == 0:
                return "type a number above 0"
        return "type the number, then Enter"

    def check(self, value: float) -> None:
        """Refuse a number that cannot stand here."""
        found = wrong(self.item, value)
        if found:
            raise Refused(f"{plain(value)} {found}", where=self.label, remedy=self.wanted)

    def doubt(self, value: float) -> str:
        """Return what is doubtful about a number that can stand here, "" for nothing."""
        column = self.item
        if isinstance(column, Column) and abs(value) > column.range:
            reach = f"{plain(column.range)}{column.unit}"
            return f"{plain(value)} lies beyond the instrument's range of ± {reach}"
        return ""


def keys(column: Column) -> dict[float, float]:
    """Return the places of a column by what its readings are kept under.

    Readings keep to their place, so that other angles asked for do not turn 90° into 45°; those of a column that
    may be left off keep to their number, so that another time between them moves them all.
    """
    return {float(index) if column.open else place: place for index, place in enumerate(column.places)}


def field_slot(field: Field, value: float | None, typed: bool) -> Slot:
    """Return the line of a field with what counts there."""
    text = "" if value is None else field.options.get(int(value), plain(value))
    hint = field.hint
    if field.options:
        choices = ", ".join(f"{key} {words}" for key, words in field.options.items())
        hint = f"{choices}; {hint}" if hint else choices
    return Slot(field, None, field.label, "" if field.options else field.unit, hint, text, typed, True)


def column_slots(column: Column, values: Mapping[float, float]) -> list[Slot]:
    """Return the lines of a column with its readings by place."""
    places = column.places
    if column.open:
        reached = max((places.index(place) + 1 for place in values), default=0)
        places = places[: max(column.least, reached + 1)]
    return [
        Slot(
            column,
            place,
            column.prompt(place),
            column.unit,
            column.hint,
            plain(values[place]) if place in values else "",
            place in values,
            not column.open or index < column.least,
        )
        for index, place in enumerate(places)
    ]


def wrong(item: Item, value: float) -> str:
    """Return why a number cannot stand in a line, "" where it can."""
    if not abs(value) <= _LARGEST:
        return "is out of all proportion"
    if isinstance(item, Column):
        return ""
    if item.options:
        return "" if value in item.options else "is none of the choices"
    if item.whole and value != int(value):
        return "is not a whole number"
    if value <= item.above:
        return f"is not above {item.above:g}"
    if value > item.most:
        return f"is more than {item.most:g}"
    return f"is less than {item.least:g}" if value < item.least else ""
