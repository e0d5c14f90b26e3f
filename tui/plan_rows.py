"""The planner's table: a line for each choice, as wide as there is room."""

from __future__ import annotations

from sessions.choice import Choice
from sessions.plan import Plan
from tui.plan_columns import decimals, hours_words, number_words, set_words

#: Sign of the recommended row.
RECOMMENDED = "*"
#: Columns without which the offsets are left out of the table.
_LEAST = 16


def table(plan: Plan, width: int, more: str) -> tuple[tuple[str, str], tuple[str, ...]]:
    """Return the two lines of headings and a line for each choice.

    Parameters
    ----------
    plan : Plan
        The choices.
    width : int
        Columns of a line. Offsets are shown where there is room beyond the numbers, which are never cut.
    more : str
        Stands for offsets that do not fit.
    """
    digits = decimals(plan.choices)
    names = ["", "runs", "readings", "hours", "dof", "u", "U", "mean", "worst"]
    judged = plan.wanted.tolerance is not None
    cells = [_cells(choice, digits) for choice in plan.choices]
    if judged:
        names.append("decides")
        for row, choice in zip(cells, plan.choices, strict=True):
            row.append("yes" if choice.decides else "no")
    widest = [max(map(len, column)) for column in zip(names, *cells, strict=True)]
    gap = 2 if sum(widest) + 2 * len(widest) - 2 <= width else 1
    places = [wide + gap * (place > 0) for place, wide in enumerate(widest)]
    upper = f"{'one position, ″':>{sum(places[:7])}}{'any two, U, ″':>{sum(places[7:9])}}"
    lower = _line(names, places)
    lines = [_line(row, places) for row in cells]
    room = width - sum(places) - 3
    if room >= _LEAST and plan.wanted.design.closure == "dual":
        lower += "   offsets"
        lines = [
            f"{line}   {cut(set_words(choice), room, more)}"
            for line, choice in zip(lines, plan.choices, strict=True)
        ]
    return (upper, lower), tuple(lines)


def _cells(choice: Choice, digits: int) -> list[str]:
    return [
        RECOMMENDED if choice.recommended else "",
        str(choice.design.run_count),
        str(choice.readings),
        hours_words(choice.hours),
        str(choice.degrees_of_freedom),
        number_words(choice.standard_uncertainty, digits),
        number_words(choice.expanded_uncertainty, digits),
        number_words(choice.expanded(choice.any_two_mean), digits),
        number_words(choice.expanded(choice.any_two_worst), digits),
    ]


def _line(cells: list[str], places: list[int]) -> str:
    return "".join(cell.rjust(place) for cell, place in zip(cells, places, strict=True))


def cut(offsets: str, width: int, more: str) -> str:
    """Return offsets that fit in a width; no number is cut in two."""
    if len(offsets) <= width:
        return offsets
    return f"{offsets[: width - len(more)].rpartition(' ')[0]} {more}"
