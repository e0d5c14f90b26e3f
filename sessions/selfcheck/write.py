"""Writes the record of a self-check to a new file."""

from __future__ import annotations

from pathlib import Path

from sessions.disk import Disk, refusal
from solver.refused import Refused

ENDINGS = (".txt", ".json")


def refuse_path(path: Path) -> None:
    """Refuse a file that ends in none of the known ways, or that is there already: a record is never written over."""
    if path.suffix.lower() not in ENDINGS:
        ending = f"as “{path.suffix}”" if path.suffix else "without an ending"
        raise Refused(
            f"a record cannot be written {ending}",
            where=str(path),
            remedy="end the file name in .txt or .json",
        )
    if path.exists():
        raise _there(path)


def write_record(path: Path, text: str) -> None:
    """Write the text of a record to a new file, in UTF-8.

    Raises
    ------
    Refused
        As `refuse_path` does, and where the file cannot be written; nothing is left half written.
    """
    refuse_path(path)
    try:
        Disk().write_new(path, text.encode())
    except FileExistsError:
        raise _there(path) from None
    except FileNotFoundError:
        raise Refused(
            "there is no such folder", where=str(path.parent), remedy="make it first, or name another one"
        ) from None
    except OSError as error:
        raise refusal(error, str(path), "name another file") from error


def _there(path: Path) -> Refused:
    return Refused("the file is there already", where=str(path), remedy="name another one")
