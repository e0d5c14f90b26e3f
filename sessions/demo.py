"""The bundled example: an invented session, half done, copied so that anything may be tried on it."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path

from sessions.disk import Disk, words
from sessions.names import numbered
from solver.refused import Refused

_EXAMPLE = "demo.toml"


def copy_demo(folder: Path, disk: Disk | None = None) -> Path:
    """Copy the example into a folder under a name that is free: demo.toml, then demo-2.toml and so on.

    Parameters
    ----------
    folder : Path
        The folder of the sessions; it is made if there is none.
    disk : Disk, optional
        What writes; tests hand in one that fails.

    Returns
    -------
    Path
        The copy.

    Raises
    ------
    Refused
        If the copy cannot be written; none is then left half written.
    """
    example = demo_bytes()
    disk = disk or Disk()
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for path in numbered(folder, _EXAMPLE):
            try:
                disk.write_new(path, example)
            except FileExistsError:
                continue
            return path
    except OSError as error:
        what, _ = words(error)
        raise Refused(
            f"the example cannot be copied there: {what}",
            where=str(folder),
            remedy="name another folder with --folder DIR",
        ) from error
    raise AssertionError("names never run out")


def demo_bytes() -> bytes:
    """Return the file of the example."""
    return files("sessions.examples").joinpath(_EXAMPLE).read_bytes()
