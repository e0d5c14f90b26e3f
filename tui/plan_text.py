"""A plan as text for a terminal of 80 columns."""

from __future__ import annotations

from fractions import Fraction

from sessions.design_words import design_words
from sessions.plan import Plan
from sessions.plan_arcs import PlannedArcs
from sessions.step_angle import angle
from tui.plan_arcs_text import arcs_blocks
from tui.plan_columns import MISSING, decimals, hours_words, number_words, recommendation, set_words
from tui.widgets.formats import wrapped

_WIDTH = 80


def plan_text(plan: Plan, arcs: PlannedArcs | None = None) -> str:
    """Return the table of choices, their offsets, the recommendation and arcs, no line wider than 80 columns."""
    blocks = [_heading(plan), _table(plan), _offsets(plan), _recommendation(plan)]
    if arcs is not None:
        blocks.extend(arcs_blocks(arcs, plan.wanted.standard_deviation))
    blocks.append(_legend(plan))
    return "\n\n".join("\n".join(block) for block in blocks) + "\n"


def _heading(plan: Plan) -> list[str]:
    design, wanted = plan.wanted.design, plan.wanted
    apart = angle(Fraction(360, design.positions))
    how = design_words(design)
    if design.repeats > 1:
        how += f", {design.repeats} readings a cell"
    spread = f"Standard deviation of a cell {wanted.standard_deviation:g}″"
    if wanted.assumed:
        spread += ", an assumption: give yours with --accepted-sd"
    elif wanted.accepted_sd_dof is not None:
        spread += f" with {wanted.accepted_sd_dof} degrees of freedom"
    if wanted.tolerance is not None:
        spread += f"; tolerance ±{wanted.tolerance:g}″"
    return [
        *wrapped(f"{design.positions} positions, {apart} apart: {how}.", _WIDTH),
        *wrapped(f"{spread}.", _WIDTH),
    ]


def _table(plan: Plan) -> list[str]:
    digits = decimals(plan.choices)
    judged = plan.wanted.tolerance is not None
    lines = [
        f"{'':30}{'one position, ″':>18}{'any two positions, ″':>22}",
        f"{'runs':>6}{'readings':>10}{'hours':>8}{'dof':>8}"
        f"{'u':>8}{'U':>9}{'U mean':>10}{'U worst':>10}{'decides' if judged else '':>10}",
    ]
    for choice in plan.choices:
        mark = ">" if choice.recommended else " "
        verdict = ("yes" if choice.decides else "no") if judged else ""
        line = (
            f"{mark}{choice.design.run_count:>5}{choice.readings:>10}{hours_words(choice.hours):>8}"
            f"{choice.degrees_of_freedom:>8}"
            f"{number_words(choice.standard_uncertainty, digits):>8}"
            f"{number_words(choice.expanded_uncertainty, digits):>9}"
            f"{number_words(choice.expanded(choice.any_two_mean), digits):>10}"
            f"{number_words(choice.expanded(choice.any_two_worst), digits):>10}{verdict:>10}"
        )
        lines.append(line)
    return [line.rstrip() for line in lines]


def _offsets(plan: Plan) -> list[str]:
    single = plan.wanted.design.closure == "single"
    if single:
        return ["A single closure has no offsets: its runs repeat each other."]
    lines = ["  runs  offsets"]
    for choice in plan.choices:
        mark = ">" if choice.recommended else " "
        head = f"{mark}{choice.design.run_count:>5}  "
        words = wrapped(set_words(choice), _WIDTH - len(head))
        if len(words) > 1 and not choice.recommended:
            words = [f"{words[0][: _WIDTH - len(head) - 4].rsplit(' ', 1)[0]} ..."]
        lines.extend((head if place == 0 else " " * len(head)) + part for place, part in enumerate(words))
    return lines


def _recommendation(plan: Plan) -> list[str]:
    return wrapped(f"> {recommendation(plan.recommended)}", _WIDTH, later="  ")


def _legend(plan: Plan) -> list[str]:
    words = [
        "u: standard uncertainty about the mean of the circle; U = k u at 95.45 %,",
        "k by the degrees of freedom (dof).",
        "Both are of type A only: what instrument, mirror and axes add comes on top.",
    ]
    if any(choice.expanded_uncertainty is None for choice in plan.choices):
        words.append(f"{MISSING} not determined.")
    if plan.wanted.tolerance is not None:
        words.append("Decides: U takes no more than a third of the tolerance.")
    return wrapped(" ".join(words), _WIDTH)
