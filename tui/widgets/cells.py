"""How one cell of the matrix is drawn: its number on the point, its sign, the cursor's place."""

from __future__ import annotations

from collections.abc import Callable

from rich.segment import Segment
from rich.style import Style

from tui.widgets.formats import align_point, fit_number
from tui.widgets.marks import Characters, Tone
from tui.widgets.source import CellView

#: Tones whose colour is kept under the cursor and on their sign.
_LOUD = frozenset({Tone.SUSPECT, Tone.STRONG_SUSPECT, Tone.PLANNED_NEXT})


def written(view: CellView, decimals: int, signs: Characters) -> str:
    """Return what stands in a cell on its point: a number, the slot for the next one, or a sign for none."""
    if view.text:
        return align_point(view.text, decimals)
    if view.tone is Tone.PLANNED_NEXT:
        return signs.slot + ("." + signs.slot * decimals if decimals > 0 else "")
    sign = signs.undetermined if view.tone is Tone.UNDETERMINED else signs.blank
    return sign + " " * max(0, decimals)


def draw_cell(
    view: CellView,
    width: int,
    decimals: int,
    signs: Characters,
    style: Callable[[str], Style],
    *,
    cursor: bool,
) -> list[Segment]:
    """Draw a cell.

    Parameters
    ----------
    view : CellView
        What it holds.
    width, decimals : int
        Its width in characters, and the digits after the point at which numbers are aligned.
    signs : Characters
        The set of characters.
    style : callable
        Gives the style of a tone's value, of "base", "mark", "here" or "cursor".
    cursor : bool
        Whether the cursor is on it: a bar before it and another background.

    Returns
    -------
    list of Segment
        Of `width` characters together: one for the cursor, the number, one for the sign.
    """
    room = width - 2
    number = fit_number(written(view, decimals, signs), room, signs).rjust(room)
    content = number.strip()
    start = number.index(content)
    loud = view.tone in _LOUD
    base = style("base")
    tone = style(view.tone.value)
    mark = style(view.tone.value if loud else "mark")
    lead = base
    if cursor:
        base = style("cursor")
        lead = style("here")
        tone, mark = _under(tone, base, loud), _under(mark, base, loud)
    before = view.before[: min(start, 1)]
    segments = (
        Segment(signs.cursor if cursor else " ", lead),
        Segment(number[: start - len(before)], base),
        Segment(before, mark),
        Segment(content, tone),
        Segment(number[start + len(content) :], base),
        Segment((view.mark or signs.mark(view.tone))[:1], mark),
    )
    return [segment for segment in segments if segment.text]


def _under(style: Style, cursor: Style, loud: bool) -> Style:
    """Return a style on the cursor's background, in the cursor's colour unless its own says something."""
    lines = Style(bold=cursor.bold, underline=style.underline, strike=style.strike, italic=style.italic)
    return Style.from_color(style.color if loud else cursor.color, cursor.bgcolor) + lines
