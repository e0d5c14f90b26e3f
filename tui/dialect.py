"""Words on the command line for the dialect of a table; its signs may be typed as themselves too."""

from __future__ import annotations

import argparse
from collections.abc import Callable

DELIMITER_WORDS = ("comma", "semicolon", "tab")
DECIMAL_WORDS = ("point", "comma")
_SIGNS = {",": "comma", ";": "semicolon", "\t": "tab", ".": "point"}


def one_of(*known: str) -> Callable[[str], str]:
    """Return a reader of one of some words, in which hyphens and blanks are the same, or of a sign."""
    plain = {word.replace("-", " "): word for word in known}

    def read(text: str) -> str:
        word = _SIGNS.get(text) or " ".join(text.replace("-", " ").lower().split())
        if word not in plain:
            raise argparse.ArgumentTypeError(f"“{text}” is not known: use {' or '.join(known)}")
        return plain[word]

    return read
