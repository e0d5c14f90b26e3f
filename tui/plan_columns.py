"""Words and numbers of a plan's choices, the same in the command's text and on the screen."""

from __future__ import annotations

from collections.abc import Sequence

from sessions.choice import Choice
from sessions.counted import counted
from sessions.rounding import decimals_for

#: Stands for what is not determined.
MISSING = "–"


def decimals(choices: Sequence[Choice]) -> int:
    """Return the digits after the point for a column of uncertainties."""
    return digits_for(min(choice.standard_uncertainty for choice in choices))


def digits_for(uncertainty: float) -> int:
    """Return the digits after the point that leave an uncertainty two, no fewer than 2 and no more than 6."""
    return min(max(decimals_for(uncertainty), 2), 6)


def number_words(value: float | None, digits: int) -> str:
    """Return an uncertainty, arc seconds; None is not determined."""
    if value is None:
        return MISSING
    return f"{value:.{digits}f}" if value < 100 else f"{value:.3g}"


def hours_words(hours: float) -> str:
    """Return hours at the bench."""
    return f"{hours:.1f}" if hours < 100 else f"{hours:.0f}"


def set_words(choice: Choice) -> str:
    """Return the offsets of a choice, "all" where they make complete closures."""
    n, offsets = choice.design.positions, choice.offsets
    times = len(offsets) // n
    if times and sorted(offsets) == sorted(tuple(range(n)) * times):
        return f"all, 0 to {n - 1}" + (f", {times} times each" if times > 1 else "")
    return " ".join(str(offset) for offset in offsets)


def recommendation(choice: Choice) -> str:
    """Return why the recommended choice is that, how near it is to the best possible, and what will pass."""
    words = f"{counted(choice.design.run_count, 'run')}: {choice.reason}."
    if choice.efficiency < 0.995 and choice.design.closure == "dual":
        share = f"{100 * choice.efficiency:.0f} %"
        words += (
            f" Even the best {len(choice.offsets)} offsets there may be would leave {share} of its variance."
        )
    if choice.decides and choice.acceptance_limit is not None:
        words += f" Position errors up to ±{choice.acceptance_limit:.3g}″ will pass."
    return words
