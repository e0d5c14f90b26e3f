"""What a worksheet is: the questions that it asks and what comes of the answers."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from enum import Enum
from math import inf
from typing import Any

import numpy as np

from sessions.header import Header
from solver.closure import Floats

#: Name of a line that points something out.
LOOK_AT = "Look at"


class Verdict(Enum):
    """What a worksheet says of the setup, in words."""

    PASSES = "passes"
    FAILS = "does not pass"
    OPEN = "not decided"


@dataclass(frozen=True, slots=True)
class Field:
    """One number that is asked for.

    Parameters
    ----------
    key : str
        Its key in the record, with the unit in it.
    label : str
        What it is.
    unit : str, optional
        Sign of the unit, as shown.
    hint : str, optional
        What to type or where to read it.
    default : float or None, optional
        What counts while nothing is typed; None where it must be typed.
    least, most, above : float, optional
        Bounds; `above` is one that is not reached.
    whole : bool, optional
        Whether it must be a whole number.
    options : mapping of int to str, optional
        Words by number, where one of a few is chosen by its number.
    remembered : bool, optional
        Whether the next worksheet of the session proposes what was typed in this one.
    """

    key: str
    label: str
    unit: str = ""
    hint: str = ""
    default: float | None = None
    least: float = -inf
    most: float = inf
    above: float = -inf
    whole: bool = False
    options: Mapping[int, str] = field(default_factory=dict)
    remembered: bool = True


@dataclass(frozen=True, slots=True)
class Column:
    """Readings one below another.

    Parameters
    ----------
    name : str
        What the answers are found under.
    key : str
        Key of the readings in the record, with the unit in it.
    places_key : str
        Key of the places in the record, with the unit in it.
    places : tuple of float
        Where they are read: angles, minutes, numbers. An open column may be left off anywhere after `least`.
    prompt : callable
        What to type at a place, in words.
    unit, hint : str
        Sign of the unit, and what to do before each reading.
    open, least : bool, int
        Whether the column may be shorter than its places, and how many readings it needs.
    every : float
        Seconds from one reading to the next, 0 where they are taken in one's own time.
    range : float
        Size from which a reading is doubtful.
    """

    name: str
    key: str
    places_key: str
    places: tuple[float, ...]
    prompt: Callable[[float], str]
    unit: str
    hint: str = ""
    open: bool = False
    least: int = 0
    every: float = 0.0
    range: float = inf


Item = Field | Column


@dataclass(frozen=True, slots=True)
class Answers:
    """What was typed so far, with what counts where nothing was.

    Parameters
    ----------
    fields : mapping of str to float
        By key.
    columns : mapping of str to mapping of float to float
        Readings by place, by name of the column.
    """

    fields: Mapping[str, float] = field(default_factory=dict)
    columns: Mapping[str, Mapping[float, float]] = field(default_factory=dict)

    def get(self, key: str, default: float) -> float:
        """Return a number, or the default where it is not known yet."""
        return self.fields.get(key, default)

    def column(self, name: str) -> tuple[Floats, Floats]:
        """Return places and readings of a column, both (N,), in the order of the places."""
        readings = sorted(self.columns.get(name, {}).items())
        return np.array([place for place, _ in readings]), np.array([value for _, value in readings])


@dataclass(frozen=True, slots=True)
class Proposal:
    """A change of the header that the worksheet offers; it is made only if the person says so.

    Parameters
    ----------
    question : str
        What is asked.
    amendments : tuple of (str, value)
        Fields of the header and their new values, in the order in which they are amended.
    reason : str
        Why, for the record.
    """

    question: str
    amendments: tuple[tuple[str, Any], ...]
    reason: str


@dataclass(frozen=True, slots=True, eq=False)
class Trace:
    """What the readings look like: points, and the line fitted to them.

    Parameters
    ----------
    x, y : (N,) arrays
        Places and readings.
    line_x, line_y : (M,) arrays
        The fitted line.
    unit, x_unit : str
        Signs of the units.
    """

    x: Floats
    y: Floats
    line_x: Floats
    line_y: Floats
    unit: str
    x_unit: str


@dataclass(frozen=True, slots=True)
class Outcome:
    """What comes of the answers so far.

    Parameters
    ----------
    verdict : Verdict or None
        None while something is missing.
    found : str
        What was found, in one sentence, for the record.
    todo : str
        What to do now.
    lines : tuple of (str, str)
        Results by name.
    results : mapping
        For the record, units in the names; what is not determined is left out.
    proposals : tuple of Proposal
        Changes of the header to offer.
    trace : Trace or None
        What to draw.
    """

    verdict: Verdict | None = None
    found: str = ""
    todo: str = ""
    lines: tuple[tuple[str, str], ...] = ()
    results: Mapping[str, Any] = field(default_factory=dict)
    proposals: tuple[Proposal, ...] = ()
    trace: Trace | None = None


@dataclass(frozen=True, slots=True)
class Worksheet:
    """A worksheet, declared once.

    Parameters
    ----------
    name : str
        Its name in the record.
    title : str
        Its heading.
    purpose : str
        What it is for, in a few words.
    steps : tuple of str
        What to do, one to four.
    caution : str
        Where the work can hurt.
    items : callable
        The questions, from the header and the answers so far.
    work : callable
        What comes of complete answers.
    preview : callable or None
        What can be said of answers that are not complete; by default nothing.
    """

    name: str
    title: str
    purpose: str
    steps: tuple[str, ...]
    caution: str
    items: Callable[[Header, Answers], tuple[Item, ...]]
    work: Callable[[Header, Answers], Outcome]
    preview: Callable[[Header, Answers], Outcome] | None = None


def judge(value: float, expanded: float, limit: float) -> Verdict:
    """Return whether a value keeps within a limit, its expanded uncertainty taken into account.

    Beyond the limit it does not pass; within it, it passes only if its uncertainty leaves no doubt (JCGM 106,
    8.3.2, guarded acceptance: memory). An uncertainty that is not determined leaves doubt.
    """
    if value > limit:
        return Verdict.FAILS
    return Verdict.PASSES if value + expanded <= limit else Verdict.OPEN
