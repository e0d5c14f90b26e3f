"""The entries of a session in words, one line each, and what more there is to say of one."""

from __future__ import annotations

from collections.abc import Mapping
from enum import Enum
from typing import Any

from sessions import budget
from sessions.air import conditions_words
from sessions.certificate import details
from sessions.counted import counted
from sessions.entries import Amend, Conditions, Entry, Keep, Note, Reading, Restore, Setup, Split, Strike
from sessions.matrix import Matrix
from tui.views import reading_decimals
from tui.widgets.formats import printable, signed
from tui.widgets.marks import Characters, Tone


class Kind(Enum):
    """What the record can be narrowed to; the value is its heading."""

    ALL = "all"
    READINGS = "readings"
    STRIKES = "strikes"
    NOTES = "notes"
    CONDITIONS = "conditions"
    AMENDMENTS = "amendments"
    WORKSHEETS = "worksheets"


_KINDS: dict[type, Kind] = {
    Reading: Kind.READINGS,
    # What was judged of a reading or of a run belongs together.
    Strike: Kind.STRIKES,
    Restore: Kind.STRIKES,
    Keep: Kind.STRIKES,
    Split: Kind.STRIKES,
    Note: Kind.NOTES,
    Conditions: Kind.CONDITIONS,
    Amend: Kind.AMENDMENTS,
    Setup: Kind.WORKSHEETS,
}


def by_kind(entries: tuple[Entry, ...]) -> dict[Kind, list[int]]:
    """Return, for each kind, the places of its entries in the record."""
    found: dict[Kind, list[int]] = {kind: [] for kind in Kind}
    found[Kind.ALL] = list(range(len(entries)))
    for place, entry in enumerate(entries):
        found[_KINDS[type(entry)]].append(place)
    return found


class RecordWords:
    """Says what happened in a session.

    Parameters
    ----------
    entries : tuple of Entry
        All of them.
    matrix : Matrix
        The readings as they stand.
    signs : Characters
        The set of characters.
    """

    def __init__(self, entries: tuple[Entry, ...], matrix: Matrix, signs: Characters) -> None:
        self._entries = entries
        self._matrix = matrix
        self._signs = signs
        self._decimals = reading_decimals(matrix.header, matrix)
        self._width = len(str(len(entries)))

    def line(self, place: int) -> str:
        """Return number, time and what happened, on one line."""
        entry = self._entries[place]
        return f"{entry.number:>{self._width}}  {entry.time:%Y-%m-%d %H:%M:%S}  {self._what(entry)}"

    def more(self, place: int) -> str:
        """Return what happened with all that was recorded of it."""
        entry = self._entries[place]
        words = self._what(entry)
        if isinstance(entry, Setup):
            words += f"\n{printable('; '.join(_figures(entry)))}"
        return words

    def place_of(self, place: int) -> tuple[int, int] | None:
        """Return run and step that an entry is about, None where it is about no cell."""
        entry = self._entries[place]
        match entry:
            case Reading() | Split():
                return entry.run, entry.step
            case Strike() | Keep() | Restore():
                about = self._entries[entry.entry - 1]
                return self.place_of(entry.entry - 1) if about is not entry else None
        return None

    def _what(self, entry: Entry) -> str:
        match entry:
            case Reading():
                words = f"{self._reading(entry)}{self._status(entry)}"
            case Strike():
                words = f"struck: {self._named(entry.entry)}; {entry.reason}"
            case Keep():
                words = f"kept: {self._named(entry.entry)}; {entry.reason}"
            case Restore():
                words = f"restored: {self._named(entry.entry)}"
                words += f"; {entry.reason}" if entry.reason else ""
            case Split():
                words = f"run {entry.run} split before step {entry.step}; {entry.reason}"
            case Note():
                words = f"note: {entry.text}"
            case Conditions():
                words = f"conditions: {conditions_words(entry)}"
            case Amend():
                words = f"amended: {entry.field} = {entry.value}; {entry.reason}"
            case Setup():
                words = _setup(entry)
        return printable(words)

    def _reading(self, reading: Reading) -> str:
        value = signed(reading.value, self._decimals, self._signs)
        return f"run {reading.run}, step {reading.step}: {value}"

    def _status(self, reading: Reading) -> str:
        now = self._matrix.reading(reading.number)
        if now is None or now.status == "accepted":
            return ""
        tone = Tone.STRUCK if now.status == "struck" else Tone.KEPT
        return f" {self._signs.mark(tone)} {now.status}"

    def _named(self, number: int) -> str:
        entry = self._entries[number - 1]
        match entry:
            case Reading():
                return f"reading {number}, {self._reading(entry)}"
            case Split():
                return f"split of run {entry.run} before step {entry.step}"
            case Strike() | Keep():
                return self._named(entry.entry)
        return f"entry {number}"


def _setup(entry: Setup) -> str:
    """Say in a line what a worksheet, the budget or the page of the certificate gave."""
    match entry.worksheet:
        case budget.WORKSHEET:
            lines = _lines(entry)
            known = sum(_figure(line) is not None for line in lines)
            return f"uncertainty budget: {counted(len(lines), 'line')}, {known} with a figure"
        case details.WORKSHEET:
            said = [str(entry.result[key]) for key in ("number", "laboratory") if entry.result.get(key)]
            return f"certificate: {', '.join(said) or 'its details'}"
        case _:
            said = entry.result.get("found") or entry.result.get("verdict", "")
            return f"worksheet {entry.worksheet}: {said}"


def _figures(entry: Setup) -> list[str]:
    """Return all that was recorded with it, one thing each."""
    if entry.worksheet == budget.WORKSHEET:
        return [f"{line.get('name', '')}: {_words_of(_figure(line))}" for line in _lines(entry)]
    if entry.worksheet == details.WORKSHEET:
        return [f"{details.LABELS.get(key, key)}: {value}" for key, value in entry.result.items()]
    return [f"{key.replace('_', ' ')} {value}" for key, value in entry.result.items() if key != "found"]


def _lines(entry: Setup) -> list[Mapping[str, Any]]:
    """Return the lines of a budget as far as they are any: what stands in a file is not checked here."""
    lines = entry.result.get("lines", [])
    return [line for line in lines if isinstance(line, Mapping)] if isinstance(lines, list | tuple) else []


def _figure(line: Mapping[str, Any]) -> Any:
    return line.get("half_width", line.get("standard_uncertainty"))


def _words_of(figure: Any) -> str:
    return "no figure" if figure is None else str(figure)
