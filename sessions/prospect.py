"""What a plan comes to, in words, before its first reading is taken."""

from __future__ import annotations

from dataclasses import dataclass

from sessions.bench_time import Pace
from sessions.circle_words import angle_words, step_words
from sessions.counted import counted, freedom_words
from sessions.design import Design, measured_positions
from sessions.equipment import CircleKind
from sessions.missing import plan_words
from sessions.single_words import dual_better


@dataclass(frozen=True, slots=True)
class Prospect:
    """A plan's size in one line, and what should be thought over before it is begun.

    Parameters
    ----------
    summary : str
        For example "12 positions 30° apart, 3 runs, 39 cells, about 0.9 h, 14 degrees of freedom".
    cautions : tuple of str
        Sentences; why the plan cannot determine the circles comes first.
    """

    summary: str
    cautions: tuple[str, ...]


def prospect(design: Design, upper: CircleKind = "index table") -> Prospect:
    """Say what a plan comes to, with an upper circle of that kind where there is one."""
    cells = design.planned_cells
    single = design.closure == "single"
    what = "intervals of" if single else "faces" if upper == "polygon" else "positions"
    parts = [
        f"{design.positions} {what} {step_words(design)}" + ("" if single else " apart"),
        counted(design.whole_runs, "run"),
    ]
    if design.arcs:
        over = counted(len(design.arcs) * design.ways, "run")
        parts.append(f"{over} over arcs in steps of {angle_words(1, design.fine)}")
    parts.append(counted(cells, "cell"))
    if design.repeats > 1:
        parts.append(counted(cells * design.repeats, "reading"))
    parts.append(_about(Pace().hours(design)))
    loose = plan_words(design)
    freedom = degrees_of_freedom(design)
    if not loose:
        parts.append(freedom_words(freedom))
    return Prospect(", ".join(parts), loose or _cautions(design, upper, freedom))


def degrees_of_freedom(design: Design) -> int:
    """Return the degrees of freedom with every cell filled, if these determine every error.

    Both circles have n - 1 unknown errors each, with arcs one less than the fine positions that some run stops at; by
    "position" a run has a constant, and with the drift model "linear" a slope besides. A single closure has n - 1
    errors and its fixed angle.
    """
    n = design.positions
    if design.closure == "single":
        return design.planned_cells - n
    shared = (design.reading == "position") + (design.drift == "linear")
    stops = sum(len(at) for at in measured_positions(design)) if design.arcs else 2 * n
    return design.planned_cells - (stops - 2) - shared * design.run_count


def _cautions(design: Design, upper: CircleKind, freedom: int) -> tuple[str, ...]:
    words = []
    if freedom == 0:
        words.append("Not one reading to spare: nothing would show a bad one, and no scatter can be stated.")
    better = dual_better(design)
    if better:
        words.append(better)
    dual = design.closure == "dual"
    polygon = upper == "polygon"
    if dual and polygon and design.arrangement == "counter-rotating":
        words.append(
            "A polygon on a table is usually read face by face; here its faces turn against the table."
        )
    if dual and not polygon and design.arrangement == "face by face":
        words.append(
            "Two indexes are usually counter-rotating, so that the mirror always faces the instrument."
        )
    if design.reading == "position" and not design.closing:
        words.append("Without closing readings drift stays unseen.")
    return tuple(words)


def _about(hours: float) -> str:
    return f"about {max(hours, 0.1):.1f} h" if hours < 9.95 else f"about {hours:.0f} h"
