"""The decision against a tolerance, and how a certificate words it."""

from __future__ import annotations

from sessions.certificate.details import Reference
from sessions.certificate.numbers import decimals_of, fixed, pair
from sessions.certificate.words import from_words
from sessions.circle_words import Words
from solver.budget import Uncertainty
from solver.closure import Floats
from solver.decision import Decision, Verdict, decide


def decision_on(
    tolerance: float | None,
    reference: Reference,
    about_mean: tuple[Floats, Uncertainty],
    from_first: tuple[Floats, Uncertainty],
) -> Decision | None:
    """Return the decision on errors with their uncertainties, by what they count from; None without a tolerance."""
    if tolerance is None:
        return None
    value, u = about_mean if reference == "mean" else from_first
    return decide(value, u.expanded, tolerance, u.standard, u.freedom)


def worst_of(*verdicts: Verdict) -> Verdict:
    """Return what holds for all positions of which parts were decided on apart."""
    return next(verdict for verdict in (Verdict.FAILS, Verdict.OPEN, Verdict.CONFORMS) if verdict in verdicts)


def decision_words(decision: Decision, reference: Reference, words: Words) -> str:
    """Return a decision in words, with the figures behind it."""
    if decision.position < 0:
        return "not decided: no error is determined with its uncertainty"
    value, guard = pair(decision.value, decision.guard)
    decimals = decimals_of(decision.guard) if decision.guard > 0 else 3
    margin = fixed(abs(decision.margin), decimals)
    of = "margin" if decision.margin >= 0 else "lacking"
    at = f"{words.place} {decision.position}: error {value}″, U {guard}″, tolerance ±{decision.tolerance:g}″"
    told = f"{decision.verdict.value}, errors {from_words(reference, words)}; "
    if decision.verdict is Verdict.FAILS:
        return f"{told}{at}, exceeded beyond doubt by {margin}″ ({_risk(decision)})"
    told += f"{at}, {of} {margin}″"
    if decision.verdict is Verdict.CONFORMS:
        return f"{told} ({_risk(decision)})"
    if decision.undetermined:
        told += f"; {decision.undetermined} errors are not determined"
    return told


def _risk(decision: Decision) -> str:
    side = "outside" if decision.verdict is Verdict.CONFORMS else "inside"
    size = "below 0.01 %" if decision.risk < 1e-4 else f"at most {100 * decision.risk:.2g} %"
    return f"probability that it lies {side}: {size}"
