"""The one family of errors: what is wrong, where, and what to do about it."""

from __future__ import annotations


class Refused(Exception):
    """Something that Fullturn will not do, said so that a person can put it right.

    Parameters
    ----------
    what : str
        What is wrong, a short clause without a full stop.
    where : str, optional
        File and line, field, run and step: whatever finds the place.
    remedy : str, optional
        What to do now.
    """

    def __init__(self, what: str, *, where: str = "", remedy: str = "") -> None:
        super().__init__(what)
        self.what = what
        self.where = where
        self.remedy = remedy

    def __str__(self) -> str:
        place = f"{self.where}: " if self.where else ""
        remedy = f". {self.remedy[:1].upper()}{self.remedy[1:]}" if self.remedy else ""
        return f"{place}{self.what}{remedy}."
