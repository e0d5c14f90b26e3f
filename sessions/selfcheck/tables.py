"""Reads the published tables that are installed with the program."""

from __future__ import annotations

import csv
from importlib.resources import files

import numpy as np

from solver.closure import Floats
from solver.refused import Refused


def table(name: str) -> list[dict[str, str]]:
    """Return the lines of a published table, each by its columns.

    Parameters
    ----------
    name : str
        Of the CSV file, without its ending.

    Raises
    ------
    Refused
        Where the file was not installed.
    """
    file = files("sessions.published").joinpath(f"{name}.csv")
    try:
        text = file.read_text(encoding="utf-8")
    except OSError as error:
        raise Refused(
            "a table of published values is missing from the installation",
            where=f"{name}.csv",
            remedy="install Fullturn anew",
        ) from error
    return list(csv.DictReader(text.splitlines()))


def column(name: str, heading: str) -> Floats:
    """Return a column of a published table as numbers."""
    return np.array([float(line[heading]) for line in table(name)])
