"""The planner's fields: their labels, hints and words to choose from."""

from __future__ import annotations

from tui.screens.form_page import Line

#: Numbers, row by row in three columns: how many, how good, how long.
NUMBERS = (
    Line("positions", "Positions", "how many on the circle"),
    Line("accepted_sd", "Accepted s.d. ″", "standard dev. of a cell"),
    Line("tolerance", "Tolerance ± ″", "to decide, or empty"),
    Line("step", "or step angle °", "instead of positions"),
    Line("accepted_sd_dof", "Deg. of freedom", "of it; empty: well known"),
    Line("seconds", "Seconds a cell", "to step, settle and read"),
    Line("lower_divisions", "Lower divisions", "positions must divide it"),
    Line("upper_divisions", "Upper divisions", "empty: like the lower"),
    Line("repeats", "Repeats", "readings in each cell"),
)

CHOICES = (
    Line("closure", "Closure", options={"dual": "dual", "single": "single"}),
    Line(
        "arrangement",
        "Arrangement",
        options={"counter-rotating": "counter-rotating", "face by face": "face by face"},
    ),
    Line("reading", "Reading", options={"position": "position", "interval": "interval"}),
    Line(
        "direction",
        "Direction",
        options={"forward": "forward", "forward and return": "forward and return"},
    ),
    Line("closing", "Closing", options={"yes": "yes", "no": "no"}),
)


def label_of(name: str) -> str:
    """Return the label of a field."""
    return next(line.label for line in (*NUMBERS, *CHOICES) if line.name == name)
