"""TOML as `tomllib` reads it, but for texts that would keep it busy for hours: refused as no TOML of ours."""

from __future__ import annotations

import re
import tomllib
from typing import Any

from solver.refused import Refused

#: Parts of one dotted key; the work of `tomllib` grows with their square. A session file has two.
_PARTS = 1000
_PART = r"""(?:[A-Za-z0-9_-]++|"[^"\n]*+"|'[^'\n]*+')[ \t]*+"""
_DOTTED = re.compile(rf"(?:^|[{{,])[ \t]*+\[{{0,2}}[ \t]*+(?:{_PART}\.[ \t]*+){{{_PARTS}}}", re.MULTILINE)
#: Python refuses to read whole numbers of more than 4300 digits.
_LONG_NUMBER = re.compile(r"[0-9_]{4300}")


def read_toml(text: str) -> dict[str, Any]:
    """Read a TOML document.

    Raises
    ------
    ValueError
        With "(at line 3, column 1)" or the like at its end, where it is not TOML, a key has a thousand parts, a number
        has thousands of digits, or values are nested too deeply.
    """
    # Keys that are long enough to be so dotted stand on lines that are long.
    if len(text) > _PARTS and (dotted := _DOTTED.search(text)):
        raise ValueError(f"a key has too many parts {_at(text, dotted.end())}")
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        raise
    except RecursionError:
        raise ValueError("values are nested too deeply") from None
    except ValueError:
        found = _LONG_NUMBER.search(text)
        if found is None:
            raise
        raise ValueError(f"a number has thousands of digits {_at(text, found.start())}") from None


def refuse_unreadable(block: bytes) -> None:
    """Refuse to write a long entry that would not be read again, as one with a thousand words joined by points."""
    if len(block) > _PARTS:
        try:
            read_toml(block.decode())
        except ValueError as error:
            what = str(error).split(" (")[0]
            raise Refused(f"{what} for a session file", remedy="say it more plainly") from None


def _at(text: str, position: int) -> str:
    return f"(at line {text.count(chr(10), 0, position) + 1}, column 1)"
