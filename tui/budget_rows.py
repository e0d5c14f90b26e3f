"""The rows of the budget as text: name, figure, standard uncertainty, share as a bar."""

from __future__ import annotations

from rich.text import Text

from sessions.budget_view import Shown
from sessions.certificate.numbers import significant
from sessions.certificate.results import figure_words
from solver.budget import Line
from tui.streams import plain

_FIGURE, _SIZE, _SHARE = 24, 9, 5
_BAR = 10


def heading(width: int, *, ascii_only: bool) -> str:
    """Return the heading of the table in a width."""
    words = f"{'contribution':<{_name(width)}} {'figure':<{_FIGURE}} {'u, ″':>{_SIZE}}  {'share':<{_BAR + _SHARE}}"
    return plain(words) if ascii_only else words


def row(line: Line, number: int, shown: Shown | None, width: int, *, ascii_only: bool) -> Text:
    """Return one row.

    Parameters
    ----------
    line : Line
        The contribution.
    number : int
        Its place among the components of `shown`, 0 for the scatter of the readings.
    shown : Shown or None
        The result looked at; None while there is none.
    width : int
        Columns to fill.
    ascii_only : bool
        Whether to write plain ASCII.
    """
    counted = line.counted and line.assessed
    size = share = bar = ""
    if not line.assessed:
        size = "open"
    elif not line.counted:
        size = "left out"
    elif shown is not None:
        size = significant(float(shown.components[number]))
        part = float(shown.shares[number])
        share = f"{100 * part:.0f} %"
        bar = ("#" if ascii_only else "█") * round(_BAR * part)
    name = _fit(line.name, _name(width), ascii_only)
    figure = _fit(figure_words(line), _FIGURE, ascii_only)
    words = f"{name:<{_name(width)}} {figure:<{_FIGURE}} {size:>{_SIZE}}  {bar:<{_BAR}}{share:>{_SHARE}}"
    return Text(plain(words) if ascii_only else words, "" if counted else "dim", no_wrap=True)


def _name(width: int) -> int:
    return max(12, width - _FIGURE - _SIZE - _BAR - _SHARE - 4)


def _fit(words: str, width: int, ascii_only: bool) -> str:
    words = plain(words) if ascii_only else words
    if len(words) <= width:
        return words
    more = "~" if ascii_only else "…"
    return words[: width - 1].rstrip() + more
