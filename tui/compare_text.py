"""A comparison as text for a terminal of 80 columns."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from sessions.circle_words import angle_words
from sessions.comparison import LEVEL, Comparison, Offer, Pair, Part
from sessions.counted import verb_for
from sessions.rounding import decimals_for, decimals_of_column, probability_words
from sessions.same_circle import named
from solver.comparison import WholeTest
from solver.history import Drift
from solver.one_changed import OneChanged
from solver.turned import Turn
from tui.compare_deviations import deviation_lines
from tui.widgets.formats import fit, plain, signed, with_uncertainty, wrapped
from tui.widgets.marks import UNICODE as SIGNS

#: Two less than 80, so that a scroll bar has room beside it.
WIDTH = 78
#: Stands beside an E_n beyond 1.
MARK = "<"


def compare_text(comparison: Comparison, how_to_turn: Callable[[tuple[Turn, ...]], str]) -> str:
    """Return the comparison in blocks of lines, none wider than 80 columns.

    Parameters
    ----------
    comparison : Comparison
        What came out.
    how_to_turn : callable
        Says how the later sessions are taken with these turns, as "press t".
    """
    blocks = [_heading(comparison)]
    for pair in comparison.pairs:
        # What it comes to first: the table may be longer than a screen.
        blocks += [_verdict(comparison, pair, how_to_turn), _table(comparison, pair)]
    if comparison.agreement is not None:
        blocks.append(wrap(f"All {len(comparison.parts)} sessions: {_whole(comparison.agreement)}"))
    blocks += [_drift(comparison), deviation_lines(comparison)]
    blocks += [wrap(f"Note: {notice}") for notice in comparison.notices]
    blocks.append(_legend(comparison))
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def wrap(text: str, indent: str = "  ") -> list[str]:
    """Return words in lines of that width, all but the first indented."""
    return wrapped(text, WIDTH, later=indent)


def _heading(comparison: Comparison) -> list[str]:
    count = len(comparison.parts[0].index)
    names = " and ".join(dict.fromkeys(named(part.circle) for part in comparison.parts))
    lines = wrap(f"{names}: {len(comparison.parts)} sessions, {count} positions compared.")
    lines += ["", f"{'':>3}  {'date':<10}  {'circle':<6}  {'positions':>9}  {'s':>9}  {'dof':>5}  file"]
    for number, part in enumerate(comparison.parts, start=1):
        source = part.source
        date = "not known" if source.date is None else f"{source.date:%Y-%m-%d}"
        measured = part.measured
        freedom = "known" if math.isinf(measured.freedom) else SIGNS.undetermined
        if math.isfinite(measured.freedom):
            freedom = f"{measured.freedom:.0f}"
        head = (
            f"{number:>3}  {date:<10}  {part.which:<6}  {source.positions:>9}  "
            f"{_deviation(measured.deviation):>9}  {freedom:>5}  "
        )
        lines.append(head + fit(source.file, WIDTH - len(head), SIGNS))
        if part.turn != Turn():
            lines.append(f"{'':>3}  {turn_words(part.turn)}, as said")
    return lines


def _deviation(value: float) -> str:
    return plain(value, decimals_for(value), SIGNS) + ("" if math.isnan(value) else SIGNS.arcsec)


def turn_words(turn: Turn) -> str:
    """Return what a turn means."""
    words = f"position {turn.positions} became 0"
    return words + (", and the numbers rise the other way" if turn.reversed else "")


def _table(comparison: Comparison, pair: Pair) -> list[str]:
    first, later, change = comparison.parts[0], comparison.parts[pair.session], pair.change
    old, new = "1", str(pair.session + 1)
    decimals = decimals_of_column(change.expanded)
    lines = [f"Session {new} minus session {old}, position errors about the mean ({SIGNS.arcsec})", ""]
    lines.append(
        f"{'position':>8}{'angle':>10}{'error ' + old:>12}{'error ' + new:>12}{'difference':>14}{'± U':>10}"
        f"{'E_n':>9}"
    )
    for row, position in enumerate(first.index.tolist()):
        e_n = float(change.e_n[row])
        mark = f" {MARK}" if abs(e_n) > 1 else ""
        lines.append(
            f"{position:>8}{angle_words(position, first.source.positions):>10}"
            f"{_value(first, row, decimals):>12}{_value(later, row, decimals):>12}"
            f"{signed(float(change.difference[row]), decimals, SIGNS):>14}"
            f"{plain(float(change.expanded[row]), decimals, SIGNS):>10}{signed(e_n, 2, SIGNS):>9}{mark}"
        )
    return lines


def _value(part: Part, row: int, decimals: int) -> str:
    return signed(float(part.measured.error[row]), decimals, SIGNS)


def _verdict(comparison: Comparison, pair: Pair, how_to_turn: Callable[[tuple[Turn, ...]], str]) -> list[str]:
    """Return what the comparison of a later session with the first comes to, in sentences."""
    change = pair.change
    count, beyond = len(change.difference), len(change.beyond)
    lines = []
    if not np.isfinite(change.e_n).all():
        lines += wrap("E_n is not determined, as a session has no uncertainty.")
    elif beyond == 0:
        lines += wrap("No position has |E_n| beyond 1.")
    else:
        lines += wrap(
            f"{beyond} of {count} positions {verb_for(beyond, 'have')} |E_n| beyond 1 ({MARK}). An unchanged "
            f"circle would have {_few(change.expected_beyond)} on average."
        )
    lines += wrap(f"All positions together: {_whole(change.whole)}")
    if pair.one is not None:
        lines += wrap(_one(pair.one, comparison.parts[0]))
    if pair.offer is not None:
        turns = [part.turn for part in comparison.parts[1:]]
        turns[pair.session - 1] = pair.offer.found.turn
        lines += wrap(f"{_offered(pair.offer, pair)}. If it was, {how_to_turn(tuple(turns))}.")
    return lines


def _few(value: float) -> str:
    return plain(value, 1 if value >= 0.05 else 2, SIGNS)


def _whole(whole: WholeTest, what: str = "change") -> str:
    """Return a test in words; F is given as well, since the standard deviations are estimated."""
    if not math.isfinite(whole.p_value):
        return "not determined, as a session has no uncertainty."
    verdict = f"a {what} that chance does not explain" if whole.significant(LEVEL) else f"no {what} seen"
    below = (
        "" if math.isinf(whole.freedom) else f", F({whole.rank}, {_freedom(whole.freedom)}) = {whole.f:.2f}"
    )
    return (
        f"chi-squared {whole.chi_squared:.1f} on {whole.rank} degrees of freedom{below}, "
        f"{probability_words(whole.p_value)}: {verdict}."
    )


def _one(one: OneChanged, first: Part) -> str:
    """Return in words what changed if one position alone did."""
    change, half = with_uncertainty(one.change, one.expanded, SIGNS)
    return (
        f"If position {first.index[one.index]} alone changed: by {change} ± {half}{SIGNS.arcsec} against all the "
        f"others, which shift with the mean only. Without it, {_whole(one.others)}"
    )


def _freedom(value: float) -> str:
    return f"{value:.0f}" if value >= 10 else f"{value:.1f}"


def _offered(offer: Offer, pair: Pair) -> str:
    words = (
        f"It looks as if {turn_words(offer.found.turn)} in session {pair.session + 1}: chance finds a turn that fits "
        f"as well with p = {offer.found.p_value:.3f}"
    )
    if math.isfinite(offer.whole.p_value):
        words += (
            f", and then chi-squared is {offer.whole.chi_squared:.1f} on {offer.whole.rank} degrees of freedom, "
            f"{probability_words(offer.whole.p_value)}"
        )
    return words


def _drift(comparison: Comparison) -> list[str]:
    drift = comparison.drift
    if drift is None:
        return wrap(f"Drift per year: not determined, as {comparison.no_drift}.")
    if any(pair.offer is not None for pair in comparison.pairs):
        return wrap("Drift per year: not shown until it is settled whether the circle was turned.")
    lines = [f"Drift per year of the position errors about the mean ({SIGNS.arcsec})", ""]
    lines += _drift_table(comparison, drift)
    if len(comparison.parts) > 2:
        lines += ["", *wrap(f"All positions together: {_whole(drift.whole, 'drift')}")]
    if drift.rest is not None:
        rest = drift.rest
        words = "not determined"
        if math.isfinite(rest.p_value):
            straight = (
                "do not lie on straight lines in time" if rest.significant(LEVEL) else "lie on straight lines"
            )
            words = (
                f"{straight}: chi-squared {rest.chi_squared:.1f} on {rest.rank} degrees of freedom, "
                f"{probability_words(rest.p_value)}"
            )
        lines += wrap(f"The sessions {words}.")
    return lines


def _drift_table(comparison: Comparison, drift: Drift) -> list[str]:
    """Return the drifts, three positions to a line, as the differences have shown the rest already."""
    decimals = decimals_of_column(drift.expanded)
    items = [
        f"{position:>4}{signed(float(value), decimals, SIGNS):>10} ± {plain(float(half), decimals, SIGNS):<8}"
        for position, value, half in zip(
            comparison.parts[0].index.tolist(), drift.per_year, drift.expanded, strict=True
        )
    ]
    return ["".join(items[at : at + 3]).rstrip() for at in range(0, len(items), 3)]


def _legend(comparison: Comparison) -> list[str]:
    budget = any(part.measured.budget is not None for part in comparison.parts)
    added = (
        ", with what the budgets recorded add; what both sessions share counts in both."
        if budget
        else "; of type A, as no budget is recorded: instrument and axes are not in it."
    )
    words = [
        "s: standard deviation of a cell, with its degrees of freedom (dof).",
        "U: expanded uncertainty at 95.45 %, k by the degrees of freedom" + added,
        "E_n: difference over the root of the sum of the squares of both U.",
        "Chi-squared is of type A alone, and allows for the errors being about a mean, and so correlated; F for s "
        "being estimated.",
    ]
    return wrap(" ".join(words), "")
