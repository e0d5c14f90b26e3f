"""A worksheet while it is being filled in: where one types, what is missing, what comes of it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sessions.entries import Setup
from sessions.header import Header
from sessions.session import Session
from sessions.typed import read_column, read_number
from sessions.worksheets.sheet import Answers, Column, Field, Item, Outcome, Worksheet
from sessions.worksheets.slot import Slot, column_slots, field_slot, keys, wrong
from sessions.worksheets.words import known
from solver.refused import Refused


class Filling:
    """Answers to a worksheet, and where the next one goes.

    Parameters
    ----------
    worksheet : Worksheet
        What is filled in.
    header : Header
        Of the session.
    before : mapping, optional
        Result of this worksheet when it was recorded last: lengths and the like are proposed from it.
    """

    def __init__(self, worksheet: Worksheet, header: Header, before: Mapping[str, Any] | None = None) -> None:
        self.worksheet = worksheet
        self.header = header
        self.place = 0
        self._before = dict(before or {})
        self._fields: dict[str, float] = {}
        self._columns: dict[str, dict[float, float]] = {}
        self._order: list[tuple[str, float | None]] = []
        self._arrange()

    # What is there

    @property
    def slots(self) -> tuple[Slot, ...]:
        """Every line, in order; a column that may be left off shows one line more than it has readings."""
        return self._slots

    @property
    def here(self) -> Slot | None:
        """The line at which one types, None after the last."""
        return self._slots[self.place] if self.place < len(self._slots) else None

    @property
    def missing(self) -> tuple[Slot, ...]:
        """The lines that still have to be typed."""
        return tuple(slot for slot in self._slots if slot.missing)

    @property
    def complete(self) -> bool:
        """Whether everything needed is there."""
        return not self.missing

    @property
    def touched(self) -> bool:
        """Whether anything was typed."""
        return bool(self._order)

    @property
    def progress(self) -> tuple[int, int]:
        """How many of the needed lines are there, and how many are needed."""
        needed = [slot for slot in self._slots if slot.needed]
        return sum(bool(slot.text) for slot in needed), len(needed)

    @property
    def outcome(self) -> Outcome:
        """What comes of the answers so far; with a verdict only if they are complete.

        Raises
        ------
        Refused
            Where the answers do not go together.
        """
        if self.complete:
            return self.worksheet.work(self.header, self._answers)
        if self.worksheet.preview is None:
            return Outcome()
        found = self.worksheet.preview(self.header, self._answers)
        return Outcome(lines=found.lines, trace=found.trace)

    # Typing

    def enter(self, text: str) -> str:
        """Take a typed number at the present line and go on to the next; an empty text only goes on.

        Returns
        -------
        str
            What is doubtful about it, "" for nothing.

        Raises
        ------
        Refused
            For what cannot stand there; nothing has changed then.
        """
        slot = self.here
        if slot is None:
            raise Refused("everything is typed", remedy="record it, or go up to a line to change it")
        if not text.strip():
            if slot.missing:
                raise Refused("nothing is typed", where=slot.label, remedy=slot.wanted)
            self._advance()
            return ""
        value = read_number(text)
        slot.check(value)
        self._put(slot, value)
        self._advance()
        return slot.doubt(value)

    def paste(self, text: str) -> str:
        """Take a pasted column from the present line on; either all of it is taken or nothing.

        Raises
        ------
        Refused
            Naming the first line that cannot stand where it would go.
        """
        values = read_column(text)
        trial = Filling(self.worksheet, self.header, self._before)
        trial._fields, trial._order = dict(self._fields), list(self._order)
        trial._columns = {name: dict(column) for name, column in self._columns.items()}
        trial.place = self.place
        trial._arrange()
        doubts = []
        for line, value in enumerate(values, start=1):
            slot = trial.here
            try:
                if slot is None:
                    raise Refused("there is no line left for it")
                slot.check(value)
            except Refused as refused:
                raise Refused(
                    refused.what,
                    where=f"pasted number {line}",
                    remedy="nothing was taken; put the column right",
                ) from refused
            trial._put(slot, value)
            trial.place += 1
            doubts.append(slot.doubt(value))
        self._fields, self._columns, self._order = trial._fields, trial._columns, trial._order
        self._arrange()
        self.place = trial.place
        return next((doubt for doubt in doubts if doubt), "")

    def take_back(self) -> Slot:
        """Take back what was typed last and go there.

        Raises
        ------
        Refused
            If nothing was typed.
        """
        if not self._order:
            raise Refused("nothing is typed yet", remedy="there is nothing to take back")
        name, place = self._order.pop()
        if place is None:
            self._fields.pop(name)
        else:
            self._columns[name].pop(place)
        self._arrange()
        shown = [slot.identity for slot in self._slots]
        self.place = shown.index((name, place)) if (name, place) in shown else min(self.place, len(shown))
        return self._slots[min(self.place, len(shown) - 1)]

    def go(self, place: int) -> None:
        """Go to a line; those before the first and after the last do not exist."""
        self.place = max(0, min(place, len(self._slots)))

    # Recording

    @property
    def result(self) -> dict[str, Any]:
        """The result for the record: verdict, what was found, all that was typed, all that came of it.

        Raises
        ------
        Refused
            Naming the first line that is missing.
        """
        if not self.complete:
            first = self.missing[0]
            raise Refused("the worksheet is not complete", where=first.label, remedy=first.wanted)
        outcome, answers = self.outcome, self._answers
        result: dict[str, Any] = {
            "verdict": outcome.verdict.value if outcome.verdict is not None else "",
            "found": outcome.found,
        }
        for item in self._items:
            if isinstance(item, Field):
                value = answers.fields[item.key]
                result[item.key] = int(value) if item.whole or item.options else value
            else:
                places, values = answers.column(item.name)
                result[item.places_key] = places.tolist()
                result[item.key] = values.tolist()
        return result | known(**outcome.results)

    def record(self, session: Session) -> Setup:
        """Record the worksheet in a session.

        Raises
        ------
        Refused
            Where it is not complete, or the session cannot be written.
        """
        return session.setup(self.worksheet.name, self.result)

    # Inside

    def _put(self, slot: Slot, value: float) -> None:
        name, key = slot.identity
        if key is None:
            self._fields[name] = value
        else:
            self._columns.setdefault(name, {})[key] = value
        if (name, key) in self._order:
            self._order.remove((name, key))
        self._order.append((name, key))
        self._arrange()

    def _advance(self) -> None:
        """Go to the next line that needs typing, past what is typed already; else just one on."""
        self.place += 1
        while self.place < len(self._slots) and self._slots[self.place].typed:
            self.place += 1

    def _arrange(self) -> None:
        """Ask the worksheet for its questions, which may hang on earlier answers, until they settle."""
        counted = dict(self._fields)
        for _ in range(4):
            items = self.worksheet.items(self.header, Answers(counted, self._columns))
            proposed = {
                item.key: value
                for item in items
                if isinstance(item, Field) and (value := self._proposal(item)) is not None
            }
            if proposed | self._fields == counted:
                break
            counted = proposed | self._fields
        self._items = items
        columns = {}
        for item in items:
            if isinstance(item, Column):
                typed = self._columns.get(item.name, {})
                columns[item.name] = {place: typed[key] for key, place in keys(item).items() if key in typed}
        fields = {
            item.key: counted[item.key] for item in items if isinstance(item, Field) and item.key in counted
        }
        self._answers = Answers(fields, columns)
        self._slots = tuple(slot for item in items for slot in self._lines(item))

    def _proposal(self, field: Field) -> float | None:
        """Return what counts for a field in which nothing was typed."""
        value = self._before.get(field.key) if field.remembered else None
        fits = isinstance(value, int | float) and not wrong(field, value)
        return float(value) if fits and value is not None else field.default

    def _lines(self, item: Item) -> list[Slot]:
        if isinstance(item, Column):
            return column_slots(item, self._answers.columns[item.name])
        return [field_slot(item, self._answers.fields.get(item.key), item.key in self._fields)]
