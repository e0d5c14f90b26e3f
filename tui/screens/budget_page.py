"""The form of a budget line: its fields, labels, hints and words to choose from."""

from __future__ import annotations

from tui.screens.form_line import FormLine


def figure_hint(effect: str) -> str:
    """Return in what the figure of a line is typed that enters like this."""
    return "0.001 or 0.1 %, or empty" if effect == "proportional" else "″; empty: not assessed"


LINES = (
    FormLine("name", "Contribution", "what it is"),
    FormLine("figure", "Figure", figure_hint("position")),
    FormLine(
        "given",
        "The figure is a",
        options={"half-width": "half-width ±a", "standard uncertainty": "standard uncertainty u"},
    ),
    FormLine(
        "distribution",
        "Distribution",
        options={
            "rectangular": "rectangular a/√3",
            "triangular": "triangular a/√6",
            "U-shaped": "U-shaped a/√2",
            "normal": "normal a/2",
        },
    ),
    FormLine(
        "effect",
        "It enters",
        options={
            "cell": "each cell anew: averages down",
            "position": "each position anew",
            "constant": "all positions alike: cancels",
            "proportional": "in proportion to the value",
            "harmonic": "so often per turn",
            "ramp": "growing round the circle",
            "shape": "as a list says",
        },
    ),
    FormLine("order", "Times per turn", "1 eccentric, 2 tilted"),
    FormLine("phase", "Phase °", "empty: not known"),
    FormLine("shape", "At each position", "a number each, blanks between"),
    FormLine("circle", "Circle", options={"both": "both", "lower": "lower", "upper": "upper"}),
    FormLine("sensitivity", "Sensitivity", "″ for one unit of the figure"),
    FormLine("freedom", "Deg. of freedom", "of the figure; empty: well known"),
    FormLine("relative", "or uncertain by %", "of the figure: 25 % makes 8"),
    FormLine("kind", "Kind", options={"A": "A, from observations", "B": "B, from other knowledge"}),
    FormLine("counted", "Counted", options={"yes": "yes", "no": "no, the scatter holds it"}),
    FormLine("source", "Source", "where the figure is from"),
)
