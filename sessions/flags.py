"""What a flag says, in words, with the number behind it."""

from __future__ import annotations

from collections import Counter

from sessions.certificate.numbers import fixed
from sessions.circle_words import circle_words, item_names
from sessions.counted import counted
from sessions.header import Header
from solver.flags import Flag

#: Explanations that concern a whole run: no single value can be put right.
OF_A_RUN = frozenset({"run shifted", "circles confused", "polarity"})

#: Slips that can be put right from the digits typed alone.
FROM_WHAT_WAS_TYPED = frozenset({"sign", "decimal", "digits", "doubled digit"})


def flag_words(flag: Flag, header: Header, *, decimals: int, where: bool = True, short: bool = False) -> str:
    """Return one line on a suspected reading: what was expected, what was typed, how far, what would explain it.

    Parameters
    ----------
    flag : Flag
        Of the session.
    header : Header
        Of the same session: numbers are said in the unit typed.
    decimals : int
        Digits after the point of a reading.
    where : bool, optional
        Whether to begin with run and step.
    short : bool, optional
        Whether to leave the kind of slip out where its value says enough.
    """
    explained = suggestion_words(flag, header, decimals=decimals)
    if flag.suggestion in OF_A_RUN:
        # The reading that shows it best is as good as any other of the run.
        return f"{explained}: {_times(flag.weight)}× chance"
    place = f"run {flag.run} step {flag.step}: " if where else ""
    if short and flag.suggested_typed is not None:
        explained = f"fits as {_number(flag.suggested_typed, decimals)}"
    words = [place + _found(flag, header, decimals), explained, "" if short else _rivals(flag)]
    return "; ".join(word for word in words if word)


def acceptable(flag: Flag, header: Header) -> bool:
    """Return whether the suggested value may be taken as what was typed.

    It may where it follows from the digits typed: sign, point, order, or a digit too many. Where a digit or the whole
    value would come from the prediction, accepting it would put a computed number into the record. Nor may it where
    another reading of the cell may be the bad one.
    """
    if flag.others or flag.suggested_typed is None or flag.suggestion not in FROM_WHAT_WAS_TYPED:
        return False
    return not _digits(flag.suggested_typed) - _digits(flag.value / _factor(header))


def _digits(value: float) -> Counter[str]:
    """Return the digits of a number as it is written short, zeros apart."""
    return Counter(digit for digit in f"{abs(value):.9f}" if digit in "123456789")


def suggestion_words(flag: Flag, header: Header, *, decimals: int) -> str:
    """Return what would explain a suspected reading; "" where nothing does."""
    meant = "" if flag.suggested_typed is None else _number(flag.suggested_typed, decimals)
    match flag.suggestion:
        case None:
            return ""
        case "sign":
            return "fits with the sign changed"
        case "decimal":
            return f"fits as {meant}, the point moved"
        case "digits":
            return f"fits as {meant}, digits swapped"
        case "dropped digit":
            return f"fits as {meant}, a digit dropped"
        case "doubled digit":
            return f"fits as {meant}, a digit doubled"
        case "neighbour":
            return "fits a neighbouring setting"
        case "jump":
            size = "" if flag.jump is None else f" by {_number(flag.jump / _factor(header), decimals)}"
            return f"fits a mirror knocked before step {flag.step}{size}"
        case "run shifted":
            return f"run {flag.run} fits with {_moved(flag, header)}"
        case "circles confused":
            return f"run {flag.run} fits with {' and '.join(item_names(header))} exchanged"
        case "polarity":
            return f"run {flag.run} fits with the polarity reversed"


def _found(flag: Flag, header: Header, decimals: int) -> str:
    factor = _factor(header)
    value = _number(flag.value / factor, decimals)
    expected = "" if flag.predicted is None else _number(flag.predicted / factor, decimals)
    times = f"{_times(flag.weight)}× chance"
    match flag.test:
        case "range":
            return f"{value} typed, beyond the range of ±{header.instrument.range:g}"
        case "resolution":
            return f"{flag.value / factor:.10g} typed, not a multiple of {header.instrument.resolution:g}"
        case "tolerance":
            return f"{value} typed, further from its run than the tolerances allow"
        case "repeats" if flag.others:
            return f"{value} and {expected} in one cell, one of them bad: {times}"
        case "repeats":
            return (
                f"{value} typed, {expected} by repeats: {times}" if expected else f"repeats differ: {times}"
            )
        case "spread":
            return f"repeats scatter more than elsewhere: {times}"
        case "closing":
            return f"closing misfit: {times}"
        case "residual":
            return f"{expected} expected, {value} typed: {times}" if expected else f"{value} typed: {times}"


def _rivals(flag: Flag) -> str:
    """Name up to two other cells that may be bad instead."""
    cells = [f"run {run} step {step}" for run, step in flag.rivals[:2]]
    return f"or it is {' or '.join(cells)}" if cells else ""


def _factor(header: Header) -> float:
    return header.instrument.arcsec_per_unit


def _number(value: float, decimals: int) -> str:
    return fixed(value, decimals, plus=True)


def _times(weight: float) -> str:
    # Just beyond chance is not "1.0 times".
    return f"{weight:.0f}" if weight >= 9.5 else f"{weight:.1f}" if weight >= 1.05 else f"{weight:.2f}"


def _moved(flag: Flag, header: Header) -> str:
    parts = [
        f"the {name} {counted(abs(by), words.place)} {'on' if by > 0 else 'back'}"
        for name, words, by in zip(
            item_names(header), circle_words(header), flag.moved or (0, 0), strict=False
        )
        if by
    ]
    return " and ".join(parts) if parts else "other positions set"
