"""Standard output and error: they never fail on a sign that the terminal cannot show, and steer no terminal."""

from __future__ import annotations

import codecs
import io
import os
import re
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
    "²": "^2",
    "→": "->",
    "∞": "inf",
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
    "‼": "!",
    "†": "k",
    "█": "#",
    "░": "-",
    "╎": "|",
}


#: What would steer a terminal or turn the order of letters round, and has no width of its own.
STEERING = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069]")


def harmless(text: str) -> str:
    """Return a text with a dot for each sign that would steer a terminal; line ends and tabs stay.

    Session files hold no control characters, but names of files may, and other programs' files.
    """
    return STEERING.sub("·", text)


def say(text: str) -> None:
    """Write to standard output."""
    sys.stdout.write(harmless(text))


def warn(text: str) -> None:
    """Write one line to standard error."""
    sys.stderr.write(f"fullturn: {harmless(' '.join(text.split()))}\n")


def in_ascii(text: str) -> str:
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
    return in_ascii(error.object[error.start : error.end]), error.end
