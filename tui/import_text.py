"""What was understood of a table, for a terminal of 80 columns."""

from __future__ import annotations

from sessions.design_words import design_words
from sessions.header import Header
from sessions.import_table import Understood
from sessions.import_words import (
    column_words,
    count_words,
    dialect_words,
    reading_words,
    row_words,
    table_words,
)
from tui.widgets.formats import wrapped

_WIDTH, _INDENT = 80, 10


def import_text(found: Understood) -> str:
    """Return what was understood: the file, rows and columns, first and last readings, and the session."""
    lines = [
        ("file", found.file),
        ("SHA-256", found.sha256),
        ("written", dialect_words(found)),
        ("table", table_words(found)),
        ("rows", row_words(found)),
        ("columns", column_words(found)),
        ("readings", count_words(found)),
        ("first", reading_words(found.readings[0])),
        ("last", reading_words(found.readings[-1])),
        ("session", session_words(found.header)),
    ]
    return "\n".join(line for label, words in lines for line in _wrapped(label, words)) + "\n"


def session_words(header: Header) -> str:
    """Return the design and the unit of a session."""
    design = header.design
    return (
        f"{design.positions} positions, {design.run_count} runs, {design_words(design)}; "
        f"readings in {header.instrument.unit}, polarity {header.instrument.polarity:+d}"
    )


def _wrapped(label: str, words: str) -> list[str]:
    return wrapped(words, _WIDTH, first=label.ljust(_INDENT), later=" " * _INDENT)
