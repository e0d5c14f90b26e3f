"""Names of session files: proposed from a title, and never one that is taken."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from pathlib import Path

SUFFIX = ".toml"
_LONGEST = 60
# Windows opens a device under these names, whatever the folder and the ending.
_DEVICES = frozenset(
    {"con", "prn", "aux", "nul"} | {f"{port}{n}" for port in ("com", "lpt") for n in range(10)}
)
# Letters that do not come apart into a plain letter and an accent.
_LETTERS = str.maketrans({"ß": "ss", "æ": "ae", "ø": "o", "ł": "l", "đ": "d", "œ": "oe", "þ": "th", "ð": "d"})


def file_name(title: str) -> str:
    """Return a file name of lower-case letters, digits and hyphens that every system takes.

    Examples
    --------
    >>> file_name("HT-04 against HT-11, 30° steps")
    'ht-04-against-ht-11-30-steps.toml'
    """
    apart = unicodedata.normalize("NFKD", title.lower().translate(_LETTERS))
    plain = "".join(sign for sign in apart if not unicodedata.combining(sign))
    stem = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:_LONGEST].strip("-")
    if not stem or stem in _DEVICES:
        stem = f"session-{stem}".rstrip("-")
    return stem + SUFFIX


def numbered(folder: Path, name: str) -> Iterator[Path]:
    """Yield `name` in the folder, then name-2, name-3 and so on, without end."""
    first = Path(name)
    yield folder / name
    number = 2
    while True:
        yield folder / f"{first.stem}-{number}{first.suffix}"
        number += 1


def free_path(folder: Path, name: str) -> Path:
    """Return the first of the `numbered` paths at which nothing stands, not even a broken link."""
    return next(path for path in numbered(folder, name) if not path.exists() and not path.is_symlink())
