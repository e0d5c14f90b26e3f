"""Files that the program writes for somebody: certificates, tables, records. Whole, or not at all."""

from __future__ import annotations

from pathlib import Path
from uuid import uuid4

from sessions.disk import Disk, refusal
from solver.refused import Refused


def refuse_existing(path: Path, *, overwrite: bool, remedy: str = "name another one, or add --force") -> None:
    """Refuse a file that is there already, unless it may go."""
    # A link to nothing is there, and is no file.
    if not overwrite and (path.exists() or path.is_symlink()):
        raise Refused("the file is there already", where=str(path), remedy=remedy)


def write_output(
    path: Path,
    data: bytes,
    *,
    overwrite: bool = False,
    remedy: str = "name another one, or add --force",
    disk: Disk | None = None,
) -> None:
    """Write a file whole and sync it.

    Parameters
    ----------
    path : Path
        Where to.
    data : bytes
        All of it.
    overwrite : bool, optional
        Whether a file that is there already may go. It goes only once the new one is on the disk.
    remedy : str, optional
        What is said to do about a file that is there already and may not.
    disk : Disk, optional
        What writes; tests hand in one that fails.

    Raises
    ------
    Refused
        Where the file is there already or cannot be written; nothing is left half written.
    """
    refuse_existing(path, overwrite=overwrite, remedy=remedy)
    disk = disk or Disk()
    # Two that write the same file at once are in nobody's way.
    unfinished = path.with_name(f".{uuid4().hex[:12]}.part") if overwrite else path
    try:
        disk.write_new(unfinished, data)
        if overwrite:
            try:
                unfinished.replace(path)
            except OSError:
                unfinished.unlink(missing_ok=True)
                raise
            disk.sync_folder(path.parent)
    except FileExistsError:
        raise Refused("the file is there already", where=str(path), remedy=remedy) from None
    except FileNotFoundError:
        raise Refused(
            "there is no such folder", where=str(path.parent), remedy="make it first, or name another one"
        ) from None
    except OSError as error:
        raise refusal(error, str(path), "name another file") from error
