"""The rows of the budget as text: name, figure, standard uncertainty, share as a bar."""

from __future__ import annotations

from itertools import zip_longest

from rich.text import Text

from sessions.budget_view import Shown
from sessions.certificate.numbers import significant
from sessions.certificate.results import figure_words
from solver.budget import Line
from tui.streams import in_ascii
from tui.widgets.formats import wrapped
from tui.widgets.pointed import POINTER

#: Columns from which there is room for bars beside whole names.
_ROOMY = 100
_FIGURE, _SIZE, _SHARE = 24, 9, 6
_BAR = 10
#: Columns that a name takes at the most, so that the figures stay near it.
_LONGEST = 50


def heading(width: int, *, ascii_only: bool) -> str:
    """Return the heading of the table in a width."""
    share = f"{'share':<{_BAR + _SHARE}}" if _bar(width) else f"{'share':>{_SHARE}}"
    words = f"{'contribution':<{_name(width)}} {'figure':<{_FIGURE}} {'u, ″':>{_SIZE}}  {share}"
    return in_ascii(words) if ascii_only else words


def row(line: Line, number: int, shown: Shown | None, width: int, *, ascii_only: bool) -> Text:
    """Return one row; a name or figure that is longer than its column goes on below.

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
    if not line.counted:
        size = "left out"
    elif not line.assessed:
        size = "open"
    elif shown is not None:
        size = significant(float(shown.components[number]))
        part = float(shown.shares[number])
        share = f"{100 * part:.0f} %"
        bar = ("#" if ascii_only else "█") * round(_bar(width) * part)
    name, figure = (
        wrapped(in_ascii(words) if ascii_only else words, columns)
        for words, columns in ((line.name, _name(width)), (figure_words(line), _FIGURE))
    )
    (first, what), *further = zip_longest(name, figure, fillvalue="")
    lines = [
        f"{first:<{_name(width)}} {what:<{_FIGURE}} {size:>{_SIZE}}  {bar:<{_bar(width)}}{share:>{_SHARE}}",
        *(" " * POINTER + f"{first:<{_name(width)}} {what}".rstrip() for first, what in further),
    ]
    words = "\n".join(lines)
    return Text(in_ascii(words) if ascii_only else words, "" if counted else "dim", no_wrap=True)


def _bar(width: int) -> int:
    return _BAR if width >= _ROOMY else 0


def _name(width: int) -> int:
    return min(max(12, width - _FIGURE - _SIZE - _bar(width) - _SHARE - 4), _LONGEST)
