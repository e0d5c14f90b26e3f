"""Texts that a spreadsheet would take for formulas, written so that they stay texts."""

from __future__ import annotations

import re

#: What begins a formula in the usual spreadsheets, where no number follows (common practice, OWASP: CSV injection).
_FORMULA = r"(?=[=@\t\r]|[-+](?!\s*[0-9.,]))"
_CELL = re.compile(_FORMULA)
_INSIDE = re.compile(rf"([,;\t]\s*\"?){_FORMULA}")


def no_formula(text: str) -> str:
    """Return the text of a cell; before what would be a formula stands an apostrophe, the spreadsheets' sign for text.

    Examples
    --------
    >>> no_formula("=1+1"), no_formula("door opened"), no_formula("-0.5 by mistake")
    ("'=1+1", 'door opened', '-0.5 by mistake')
    """
    return f"'{text}" if _CELL.match(text) else text


def no_formulas(line: str) -> str:
    """Return a line that is not quoted, as a remark at the head of a file: commas in it begin further cells."""
    return _INSIDE.sub(r"\1'", line)
