"""What each choice of offsets costs in readings and hours, and gives in uncertainty."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from sessions.bench_time import Pace
from sessions.choice import SHARE, Choice, weigh
from sessions.counted import counted
from sessions.design import MOST_POSITIONS, Design
from solver.closure import Closure
from solver.offsets import best_offsets, checked_offsets
from solver.refused import Refused

#: Standard deviation of a cell planned with where none is given, arc seconds: an assumption, and called one.
ASSUMED_SD = 0.05
#: Numbers of offsets worth comparing; the complete closure is always added.
COUNTS = (2, 3, 4, 5, 6, 8, 10, 12, 16, 20, 24, 36, 48, 72)
#: The same for the repeated runs of a single closure.
REPEATED = (1, 2, 3, 4, 5, 6, 8, 10, 12, 16, 20, 24)
#: Share of an average cell that the others check, from which a bad reading can be told from the good ones.
CHECKED = 0.4
#: Relative gain in variance below which two sets of offsets are as good as each other.
NO_GAIN = 1e-9
#: Whole closures one after the other that are tried where one does not decide the tolerance.
MOST_CLOSURES = 10


@dataclass(frozen=True, slots=True)
class Wanted:
    """What is to be planned; everything but the positions has a default.

    Parameters
    ----------
    design : Design
        As for a session; its offsets are not looked at.
    offsets : tuple of int, optional
        A set to weigh, instead of the search.
    counts : tuple of int, optional
        Numbers of offsets to choose for, instead of the usual ones.
    accepted_sd : float, optional
        Standard deviation of one cell, arc seconds.
    accepted_sd_dof : int, optional
        Its degrees of freedom; without them it counts as known well.
    tolerance : float, optional
        Plus or minus arc seconds on a position error, to be decided with a guard band.
    pace : Pace
        Seconds that the work takes.
    """

    design: Design
    offsets: tuple[int, ...] | None = None
    counts: tuple[int, ...] | None = None
    accepted_sd: float | None = None
    accepted_sd_dof: int | None = None
    tolerance: float | None = None
    pace: Pace = field(default_factory=Pace)

    @property
    def assumed(self) -> bool:
        """Whether the standard deviation is an assumption."""
        return self.accepted_sd is None

    @property
    def standard_deviation(self) -> float:
        """Of one cell, arc seconds, given or assumed."""
        return ASSUMED_SD if self.accepted_sd is None else self.accepted_sd


@dataclass(frozen=True, slots=True)
class Plan:
    """The choices, by rising number of offsets, exactly one of them recommended."""

    wanted: Wanted
    choices: tuple[Choice, ...]

    @property
    def recommended(self) -> Choice:
        """The choice to take, unless the person knows better."""
        return next(choice for choice in self.choices if choice.recommended)


def plan(wanted: Wanted) -> Plan:
    """Weigh the choices and recommend one.

    Recommended is the quickest choice that decides the tolerance, where one is given, and in which the other
    cells check at least 0.4 of an average cell (degrees of freedom over cells), so that a bad reading shows.
    Where no choice decides, whole closures are repeated until one does, up to ten times.

    Raises
    ------
    Refused
        For figures that make no plan, each with a remedy.
    """
    _check(wanted)
    closure = wanted.design.model()
    if wanted.offsets is not None:
        return Plan(wanted, _given(wanted, checked_offsets(closure, wanted.offsets)))
    sets = [best_offsets(closure, count) for count in wanted.counts or _counts(closure)]
    choices = [_weighed(wanted, offsets) for offsets in sets]
    if wanted.tolerance is not None and wanted.counts is None:
        choices.extend(_beyond(wanted, choices))
    return Plan(wanted, _with_reasons(choices, wanted))


def _counts(closure: Closure) -> tuple[int, ...]:
    """Return the numbers of offsets worth comparing, that of a perfect difference set among them."""
    n = closure.positions
    if not closure.dual:
        return REPEATED
    order = round(n**0.5)
    perfect = {q + 1 for q in (order - 1, order) if q * q + q + 1 == n and q > 1}
    return tuple(sorted({count for count in COUNTS if count <= n} | perfect | {n}))


def _weighed(wanted: Wanted, offsets: tuple[int, ...]) -> Choice:
    return weigh(
        replace(wanted.design, offsets=offsets),
        deviation=wanted.standard_deviation,
        freedom=wanted.accepted_sd_dof,
        assumed=wanted.assumed,
        tolerance=wanted.tolerance,
        pace=wanted.pace,
    )


def _given(wanted: Wanted, offsets: tuple[int, ...]) -> tuple[Choice, ...]:
    """Weigh offsets that were asked for, beside the best known as many where these are better."""
    given = _weighed(wanted, offsets)
    best = _weighed(wanted, best_offsets(given.design.model(), len(offsets)))
    gain = 1 - best.variance_factor / given.variance_factor
    if gain < NO_GAIN:
        return (replace(given, recommended=True, reason="no better offsets of this number are known"),)
    return (
        replace(given, reason="less exact for the same hours"),
        replace(best, recommended=True, reason=f"{100 * gain:.2g} % less variance than the ones given"),
    )


def _beyond(wanted: Wanted, choices: list[Choice]) -> list[Choice]:
    """Return the first repetition of the largest choice that decides, where none does so far."""
    if any(choice.decides for choice in choices):
        return []
    for times in range(2, MOST_CLOSURES + 1):
        choice = _weighed(wanted, tuple(sorted(choices[-1].offsets * times)))
        if choice.decides:
            return [choice]
    return []


def _with_reasons(choices: list[Choice], wanted: Wanted) -> tuple[Choice, ...]:
    best, why = _recommend(choices, wanted)
    told = []
    for choice in choices:
        if choice is best:
            told.append(replace(choice, recommended=True, reason=why))
        else:
            told.append(replace(choice, reason=_against(choice, best)))
    return tuple(told)


def _recommend(choices: list[Choice], wanted: Wanted) -> tuple[Choice, str]:
    def cost(choice: Choice) -> tuple[float, float]:
        return choice.hours, choice.variance_factor

    deciding = [choice for choice in choices if choice.decides is not False]
    checked = [choice for choice in deciding if choice.checked >= CHECKED]
    if checked:
        best = min(checked, key=cost)
        why = f"the others check {_percent(best)} of an average cell, so that a bad reading shows"
        if wanted.tolerance is None:
            return best, f"the quickest in which {why}"
        return best, f"the quickest that decides ±{wanted.tolerance:g}″ and in which {why}"
    if deciding and wanted.tolerance is not None:
        best = min(deciding, key=cost)
        return best, f"the quickest that decides ±{wanted.tolerance:g}″, though few readings check each other"
    if deciding:
        best = max(deciding, key=lambda choice: (choice.checked, -choice.hours))
        return best, f"the others check {_percent(best)} of an average cell, more than in any other choice"
    known = [choice for choice in choices if choice.expanded_uncertainty is not None] or choices
    best = min(known, key=lambda choice: (choice.expanded_uncertainty or 0.0, choice.hours))
    return best, (
        f"the most exact, but no choice decides ±{wanted.tolerance:g}″: U is to be a third of it at most. "
        "Lower the standard deviation of a cell, or agree a wider tolerance"
    )


def _against(choice: Choice, best: Choice) -> str:
    if choice.decides is False:
        return "no degree of freedom to state U" if choice.expanded_uncertainty is None else "does not decide"
    if choice.checked < CHECKED:
        return f"the others check only {_percent(choice)} of an average cell"
    if choice.hours > best.hours:
        return "more exact than needed" if best.decides else "more exact, for more hours"
    return "less exact for the same hours"


def _percent(choice: Choice) -> str:
    return f"{100 * choice.checked:.0f} %"


def _check(wanted: Wanted) -> None:
    design = wanted.design
    if not 2 <= design.positions <= MOST_POSITIONS:
        raise Refused(
            f"{design.positions} positions cannot be planned",
            where="--positions",
            remedy=f"use from 2 to {MOST_POSITIONS}",
        )
    if design.direction == "forward and return" and design.reading == "interval":
        raise Refused(
            "intervals are read one way",
            where="--direction",
            remedy='use direction "forward", or read by "position"',
        )
    _positive(wanted.accepted_sd, "accepted standard deviation", "--accepted-sd")
    _positive(wanted.tolerance, "tolerance", "--tolerance")
    if wanted.accepted_sd_dof is not None:
        _positive(wanted.accepted_sd_dof, "number of degrees of freedom", "--accepted-sd-dof")
        if wanted.assumed:
            raise Refused(
                "degrees of freedom are given without a standard deviation",
                where="--accepted-sd-dof",
                remedy="give --accepted-sd too",
            )
    _positive(design.repeats, "number of repeats", "--repeats")
    least = 2 if design.model().dual else 1
    for count in wanted.counts or ():
        if not least <= count <= MOST_CLOSURES * design.positions:
            raise Refused(
                f"a plan of {counted(count, 'offset')} makes no sense here",
                where="--counts",
                remedy=f"use from {least} to {MOST_CLOSURES * design.positions}",
            )


def _positive(value: float | None, name: str, where: str) -> None:
    if value is not None and not 0 < value < float("inf"):
        raise Refused(f"the {name} is {value:g}", where=where, remedy="use a number greater than 0")


__all__ = ["ASSUMED_SD", "SHARE", "Choice", "Pace", "Plan", "Wanted", "plan"]
