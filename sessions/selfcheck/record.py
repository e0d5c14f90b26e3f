"""Runs the checks and keeps what came of them: the record of a self-check."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sessions.plain import moment
from sessions.selfcheck.catalogue import all_checks
from sessions.selfcheck.check import Outcome
from sessions.selfcheck.computer import Computer, this_computer


@dataclass(frozen=True, slots=True, eq=False)
class Record:
    """A self-check that was run.

    Parameters
    ----------
    time : datetime
        When, in whole seconds, with its offset from UTC.
    computer : Computer
        Program, computer and libraries.
    outcomes : tuple of Outcome
        In the order of the catalogue.
    """

    time: datetime
    computer: Computer
    outcomes: tuple[Outcome, ...]

    @property
    def off(self) -> tuple[Outcome, ...]:
        """The checks that are not within their tolerances."""
        return tuple(outcome for outcome in self.outcomes if not outcome.within)

    @property
    def within(self) -> bool:
        """Whether every check is within its tolerance."""
        return not self.off

    @property
    def values(self) -> int:
        """How many values were compared."""
        return sum(len(outcome.check.expected) for outcome in self.outcomes)


def selfcheck(now: datetime) -> Record:
    """Run every check on this computer.

    Parameters
    ----------
    now : datetime
        The time to put into the record.

    Raises
    ------
    Refused
        Where a table of published values was not installed.
    """
    return Record(moment(now), this_computer(), tuple(check.run() for check in all_checks()))
