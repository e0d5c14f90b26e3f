"""A path as a person types it."""

from __future__ import annotations

from pathlib import Path

from solver.refused import Refused


def typed_path(text: str) -> Path:
    """Return the path, "~" standing for a home folder.

    Raises
    ------
    Refused
        If it begins with the home folder of a user that this computer does not know.
    """
    try:
        return Path(text).expanduser()
    except RuntimeError:
        home = Path(text).parts[0]
        raise Refused(
            f"there is no home folder “{home}”", where=text, remedy="write the path without “~”"
        ) from None
