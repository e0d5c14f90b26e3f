"""A fault of the program itself: kept in a file for whoever mends it, said in one line."""

from __future__ import annotations

import traceback
from datetime import datetime
from pathlib import Path

from solver.refused import Refused


def fault(error: Exception, log: Path | None = None) -> Refused:
    """Write the details of an unforeseen error to a file and return what to tell the person.

    Parameters
    ----------
    error : Exception
        The error, as caught.
    log : Path, optional
        The file to add the details to; by default in the user's log folder.

    Returns
    -------
    Refused
        One line with the kind of the error and where its details are.
    """
    details = "".join(traceback.format_exception(error))
    if log is None:
        from platformdirs import user_log_path

        log = user_log_path("fullturn", appauthor=False) / "faults.txt"
    try:
        log.parent.mkdir(parents=True, exist_ok=True)
        with log.open("a", encoding="utf-8", errors="replace") as file:
            file.write(f"{datetime.now().astimezone().isoformat(timespec='seconds')}\n{details}\n")
        kept = f"the details are in {log}"
    except OSError as failure:
        kept = f"the details could not be kept ({failure.strerror})"
    return Refused(
        f"a fault of the program, {type(error).__name__} ({error})",
        remedy=f"every reading shown as taken is safe in its file; {kept}, please report them",
    )
