"""The decision against a tolerance, and how a certificate words it."""

from __future__ import annotations

from sessions.certificate.details import Reference
from sessions.certificate.numbers import decimals_of, fixed, pair
from sessions.certificate.words import from_words
from sessions.circle_words import Words
from sessions.counted import counted_are
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
    return (
        f"{decision.verdict.value}, errors {from_words(reference, words)}; {words.place} {decision.position}: "
        f"{figures_words(decision)}"
    )


def figures_words(decision: Decision) -> str:
    """Return the figures behind a decision: error, guard band, tolerance, what is left or lacks, and the risk."""
    value, guard = pair(decision.value, decision.guard)
    decimals = decimals_of(decision.guard, otherwise=3)
    margin = fixed(abs(decision.margin), decimals)
    told = f"error {value}″, U {guard}″, tolerance ±{decision.tolerance:g}″, "
    if decision.verdict is Verdict.FAILS:
        return f"{told}exceeded by U and {margin}″ more ({_risk(decision)})"
    told += f"{'margin' if decision.margin >= 0 else 'lacking'} {margin}″"
    if decision.verdict is Verdict.CONFORMS:
        return f"{told} ({_risk(decision)})"
    if decision.undetermined:
        told += f"; {counted_are(decision.undetermined, 'error')} not determined"
    return told


def _risk(decision: Decision) -> str:
    side = "outside" if decision.verdict is Verdict.CONFORMS else "inside"
    size = "below 0.01 %" if decision.risk < 1e-4 else f"{100 * decision.risk:.2g} %"
    return f"largest probability that an error lies {side}: {size}"
