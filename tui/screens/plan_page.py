"""The planner's fields: their labels, hints and words to choose from."""

from __future__ import annotations

from tui.screens.form_line import FormLine

#: Numbers, row by row in three columns: how many, how good, how long.
NUMBERS = (
    FormLine("positions", "Positions", "how many on the circle"),
    FormLine("accepted_sd", "Accepted s.d. ″", "standard dev. of a cell"),
    FormLine("tolerance", "Tolerance ± ″", "to decide, or empty"),
    FormLine("step", "or step angle °", "instead of positions"),
    FormLine("accepted_sd_dof", "Deg. of freedom", "of it; empty: well known"),
    FormLine("seconds", "Seconds a cell", "to step, settle and read"),
    FormLine("lower_divisions", "Lower divisions", "positions must divide it"),
    FormLine("upper_divisions", "Upper divisions", "empty: like the lower"),
    FormLine("repeats", "Repeats", "readings in each cell"),
)

CHOICES = (
    FormLine("closure", "Closure", options={"dual": "dual", "single": "single"}),
    FormLine(
        "arrangement",
        "Arrangement",
        options={"counter-rotating": "counter-rotating", "face by face": "face by face"},
    ),
    FormLine("reading", "Reading", options={"position": "position", "interval": "interval"}),
    FormLine(
        "direction",
        "Direction",
        options={"forward": "forward", "forward and return": "forward and return"},
    ),
    FormLine("closing", "Closing", options={"yes": "yes", "no": "no"}),
)


def label_of(name: str) -> str:
    """Return the label of a field."""
    return next(line.label for line in (*NUMBERS, *CHOICES) if line.name == name)
