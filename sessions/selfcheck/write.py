"""Writes the record of a self-check to a new file."""

from __future__ import annotations

from pathlib import Path

from sessions.output import refuse_existing, write_output
from solver.refused import Refused

ENDINGS = (".txt", ".json")

#: A record is never written over.
_REMEDY = "name another one"


def refuse_path(path: Path) -> None:
    """Refuse a file that ends in none of the known ways, or that is there already: a record is never written over."""
    if path.suffix.lower() not in ENDINGS:
        ending = f"as “{path.suffix}”" if path.suffix else "without an ending"
        raise Refused(
            f"a record cannot be written {ending}",
            where=str(path),
            remedy="end the file name in .txt or .json",
        )
    refuse_existing(path, overwrite=False, remedy=_REMEDY)


def write_record(path: Path, text: str) -> None:
    """Write the text of a record to a new file, in UTF-8.

    Raises
    ------
    Refused
        As `refuse_path` does, and where the file cannot be written; nothing is left half written.
    """
    refuse_path(path)
    write_output(path, text.encode(), remedy=_REMEDY)
