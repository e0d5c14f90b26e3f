"""Standard output and error that never fail on a sign that the terminal cannot show."""

from __future__ import annotations

import codecs
import io
import os
import sys

_PLAIN = {
    "″": '"',
    "′": "'",
    "−": "-",
    "–": "-",
    "—": "-",
    "“": '"',
    "”": '"',
    "’": "'",
    "…": "...",
    "·": "-",
    "×": "x",
    "±": "+/-",
    "°": " deg",
    "µ": "u",
    "≤": "<=",
    "≥": ">=",
    "√": "sqrt",
    "σ": "sigma",
    "ν": "nu",
    "α": "alpha",
    "β": "beta",
}


def plain(text: str) -> str:
    """Return the text in ASCII, known signs written out and others as question marks."""
    return "".join(sign if sign.isascii() else _PLAIN.get(sign, "?") for sign in text)


def make_safe() -> None:
    """Let standard output and error write out what their encoding lacks: ″ as ", ± as +/-; never fail."""
    codecs.register_error("fullturn", _written_out)
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="fullturn")


def discard_output() -> None:
    """Send the rest of standard output nowhere, after its reader has gone."""
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, sys.stdout.fileno())
    os.close(nowhere)


def _written_out(error: UnicodeError) -> tuple[str, int]:
    if not isinstance(error, UnicodeEncodeError):
        raise error
    return plain(error.object[error.start : error.end]), error.end
