"""What runs over arcs measured of a circle, as a certificate gives it: a table in fine steps and its decision."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sessions.analysis import Analysis
from sessions.budget import Budget, FineUncertainty, of_measured
from sessions.certificate.decided import decision_on, figures_words
from sessions.certificate.details import Reference
from sessions.certificate.numbers import between, columns_of
from sessions.circle_words import angle_words
from solver.budget import enters
from solver.circle import Measured
from solver.closure import Ints
from solver.decision import Decision


@dataclass(frozen=True, slots=True)
class FineRow:
    """One position at which a run over an arc stops: errors and expanded uncertainties as printed, arc seconds."""

    angle: str
    error: str
    error_u: str
    from_first: str
    from_first_u: str


@dataclass(frozen=True, slots=True)
class FineSheet:
    """The positions inside intervals that runs over arcs stop at, those at the ends of these intervals among them.

    Parameters
    ----------
    rows : tuple of FineRow
        One a position.
    factor : str
        The coverage factors, or the range of them.
    unknown : str
        Lines of the budget that are not known between positions, so that no uncertainty is; empty without any.
    measured : Measured
    at : (P,) int array
        Which of what was measured stands in the rows.
    fine : int
        Fine positions of the circle.
    uncertainty : FineUncertainty
        Of all that was measured.
    decision : Decision or None
        By the rule of the circle on the rows alone; None where no tolerance is agreed.
    """

    rows: tuple[FineRow, ...]
    factor: str
    unknown: str
    measured: Measured
    at: Ints
    fine: int
    uncertainty: FineUncertainty
    decision: Decision | None


def fine_sheet(
    name: str, analysis: Analysis, budget: Budget, tolerance: float | None, reference: Reference
) -> FineSheet | None:
    """Gather what runs over arcs measured of a circle, "lower" or "upper"; None where there are none."""
    m, fine = analysis.adjustment.closure.subdivision, analysis.adjustment.closure.fine
    if m == 1:
        return None
    measured, u = analysis.adjustment.measured(name), of_measured(analysis, budget, name)
    inside = measured.at // m
    # Whole intervals from end to end, one after the other, a run round the circle or not.
    touched = np.unique(inside[measured.at % m != 0])
    ends = np.concatenate([touched * m, (touched + 1) * m % fine])
    at = np.flatnonzero(np.isin(inside, touched) | np.isin(measured.at, ends))
    columns = [
        *columns_of(measured.position.value[at], u.position.expanded[at]),
        *columns_of(measured.from_first.value[at], u.from_first.expanded[at]),
    ]
    shapes = [line.name for line in budget.lines if line.effect.kind == "shape" and enters(line, name)]
    about_mean = measured.position.value[at], u.position.take(at)
    from_first = measured.from_first.value[at], u.from_first.take(at)
    decision = decision_on(tolerance, reference, about_mean, from_first)
    return FineSheet(
        rows=tuple(
            FineRow(angle_words(int(position), fine), *values)
            for position, *values in zip(measured.at[at], *columns, strict=True)
        ),
        factor=between(np.concatenate([u.position.factor[at], u.from_first.factor[at]]), 2),
        unknown=", ".join(shapes),
        measured=measured,
        at=at,
        fine=fine,
        uncertainty=u,
        decision=decision,
    )


def decided_fine(found: Decision, fine: FineSheet) -> str:
    """Return what comes of the same rule at the positions that runs over arcs stop at."""
    if found.position < 0:
        return f"in fine steps: {found.verdict.value}, no error is determined with its uncertainty"
    worst = angle_words(int(fine.measured.at[fine.at][found.position]), fine.fine)
    return f"in fine steps: {found.verdict.value}; at {worst}: {figures_words(found)}"
