"""The form of a budget line: its fields, labels, hints and words to choose from."""

from __future__ import annotations

from tui.screens.form_page import Line


def figure_hint(effect: str) -> str:
    """Return in what the figure of a line is typed that enters like this."""
    return "0.001 or 0.1 %, or empty" if effect == "proportional" else "″; empty: not assessed"


LINES = (
    Line("name", "Contribution", "what it is"),
    Line("figure", "Figure", figure_hint("position")),
    Line(
        "given",
        "The figure is a",
        options={"half-width": "half-width ±a", "standard uncertainty": "standard uncertainty u"},
    ),
    Line(
        "distribution",
        "Distribution",
        options={
            "rectangular": "rectangular a/√3",
            "triangular": "triangular a/√6",
            "U-shaped": "U-shaped a/√2",
            "normal": "normal a/2",
        },
    ),
    Line(
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
    Line("order", "Times per turn", "1 eccentric, 2 tilted"),
    Line("phase", "Phase °", "empty: not known"),
    Line("shape", "At each position", "a number each, blanks between"),
    Line("circle", "Circle", options={"both": "both", "lower": "lower", "upper": "upper"}),
    Line("sensitivity", "Sensitivity", "″ for one unit of the figure"),
    Line("freedom", "Deg. of freedom", "of the figure; empty: well known"),
    Line("relative", "or uncertain by %", "of the figure: 25 % makes 8"),
    Line("kind", "Kind", options={"A": "A, from observations", "B": "B, from other knowledge"}),
    Line("counted", "Counted", options={"yes": "yes", "no": "no, the scatter holds it"}),
    Line("source", "Source", "where the figure is from"),
)
