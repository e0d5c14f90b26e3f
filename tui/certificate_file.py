"""A certificate written to the file that somebody typed, off the screen's thread."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from pathlib import Path

from sessions.certificate.write import refuse_ending, write
from sessions.certificate_data import Basis, certificate_of
from sessions.sentences import capital
from solver.refused import Refused
from tui.show import of_system
from tui.typed_path import typed_path


@dataclass(frozen=True, slots=True)
class Written:
    """A certificate is written, or could not be."""

    said: str
    refused: Refused | None = None


def written(basis: Basis, path: Path, today: date) -> Written:
    """Gather a certificate and write it; say what came of it."""
    try:
        made = certificate_of(basis, today)
        notices = write(made, path, overwrite=True)
    except Refused as refused:
        return Written("The certificate was not written.", refused)
    what = "draft" if made.draft else "certificate"
    return Written(" ".join((f"The {what} is in {path}.", *notices)))


def wrong_file(text: str) -> str:
    """Return what is wrong with the name of a file for a certificate, "" where nothing is."""
    try:
        path = typed_path(text)
        refuse_ending(path)
        path.exists()
    except Refused as refused:
        return f"{capital(refused.remedy)}."
    except OSError as error:
        return str(of_system(error))
    return ""
