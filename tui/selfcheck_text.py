"""The record of a self-check as text within 80 columns: short for the terminal, whole for the file."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby
from math import floor, isfinite, log10

from sessions.counted import verb_for
from sessions.selfcheck.check import Outcome
from sessions.selfcheck.record import Record
from tui.widgets.formats import printable, wrapped

_WIDTH = 78
_NAME, _COUNT, _VALUE, _TOLERANCE = 34, 6, 14, 7
_FACT = 11
_MOST_DECIMALS = 10
_MINUS = "−"

_MARKS = (
    "read: the value stands in the source, or in a copy of it, and was read there. recomputed: it follows from "
    "algebra or from a reference library. memory: attributed to the source from memory. common practice: what "
    "everybody does, without a source."
)
_FARTHEST = "Of several values the one farthest off is shown; -o FILE.txt writes them all."
_PURPOSE = (
    "Kept for ISO/IEC 17025:2017, clause 7.11.2: published examples, run on this computer by the same functions that "
    "solve, screen and judge readings. Whether they cover what the laboratory uses the program for is for the "
    "laboratory to say. A new version, another computer or other libraries ask for a new record."
)


def selfcheck_text(record: Record, *, whole: bool = False) -> str:
    """Return a record as text.

    Parameters
    ----------
    record : Record
        What came of the self-check.
    whole : bool, optional
        Every value with the function that gave it, and lines to sign; else of each check within its tolerance only
        the value farthest off.
    """
    lines = [*_heading(record, whole), ""]
    for topic, outcomes in groupby(record.outcomes, lambda each: each.check.topic):
        lines += _columns(topic, "values", "expected", "obtained", "±")
        for (source, mark), same in groupby(outcomes, lambda each: (each.check.source, each.check.mark)):
            lines += _wrapped(f"[{mark}] {source}", 2)
            for outcome in same:
                lines += _check(outcome, whole)
        lines.append("")
    lines += [*_wrapped(_MARKS if whole else f"{_FARTHEST} {_MARKS}"), "", *_verdict(record)]
    if whole:
        lines += ["", *_wrapped(_PURPOSE), "", *_to_sign()]
    return "\n".join(lines) + "\n"


def verdict_text(record: Record) -> str:
    """Return the verdict alone."""
    return "\n".join(_verdict(record)) + "\n"


def _heading(record: Record, whole: bool) -> list[str]:
    computer = record.computer
    facts = {
        "run": f"{record.time.isoformat(sep=' ')} on {computer.name or 'a computer without a name'}",
        "system": f"{computer.system}, {computer.machine}",
        "libraries": f"{computer.python}, numpy {computer.numpy}, scipy {computer.scipy}, {computer.blas}",
    }
    if whole:
        facts["SHA-256"] = computer.program_sha256
    lines = [
        f"{'Software validation record of' if whole else 'Self-check of'} Fullturn {computer.program}",
        "",
    ]
    for name, text in facts.items():
        first, *more = wrapped(printable(text), _WIDTH - _FACT)
        lines += [f"{name:<{_FACT}}{first}", *(f"{'':{_FACT}}{each}" for each in more)]
    return lines


def _check(outcome: Outcome, whole: bool) -> Iterator[str]:
    check = outcome.check
    name = f"  {check.name}{f' ({check.unit})' if check.unit else ''}"
    labels = list(check.expected)
    if len(labels) == 1 and labels[0]:
        name += f", {labels[0]}"
    count = str(len(labels)) if len(labels) > 1 else ""
    if outcome.error:
        yield from _columns(name, count, verdict="OFF")
        yield from _wrapped(printable(outcome.error), 6)
    elif len(labels) == 1 or (outcome.within and not whole):
        yield from _values(name, count, outcome, outcome.farthest)
    else:
        yield from _columns(name, count)
        for i in range(len(labels)) if whole else outcome.beyond:
            yield from _values(f"    {labels[i]}", "", outcome, i)
    if check.note:
        yield from _wrapped(f"({check.note})", 4)
    if whole:
        yield from _wrapped(f"by {check.function}", 4)


def _values(name: str, count: str, outcome: Outcome, which: int) -> list[str]:
    check = outcome.check
    return _columns(
        name,
        count,
        _number(list(check.expected.values())[which], check.tolerance),
        _number(outcome.obtained[which], check.tolerance),
        f"{check.tolerance:g}".replace("e-0", "e-"),
        "OFF" if which in outcome.beyond else "ok",
    )


def _columns(
    name: str, count: str, expected: str = "", obtained: str = "", tolerance: str = "", verdict: str = ""
) -> list[str]:
    """Return a line of the table; a name too long for its column begins on lines before it."""
    indent = len(name) - len(name.lstrip())
    *before, last = wrapped(name.strip(), _NAME, first=" " * indent, later=" " * (indent + 2))
    numbers = f"{expected:>{_VALUE}}{obtained:>{_VALUE}}{tolerance:>{_TOLERANCE}}"
    row = f"{last:<{_NAME}}{count:>{_COUNT}}{numbers}  {verdict}"
    return [*before, row.rstrip()]


def _number(value: float, tolerance: float) -> str:
    """Return a value with the decimals that its tolerance makes worth seeing."""
    if not isfinite(value):
        return "no number"
    if tolerance:
        text = f"{abs(value):.{min(_MOST_DECIMALS, max(0, -floor(log10(tolerance))))}f}"
    else:
        text = f"{abs(value):.10g}"
    return f"{_MINUS if value < 0 and text.strip('0.') else ''}{text}"


def _verdict(record: Record) -> list[str]:
    count = len(record.outcomes)
    if record.within:
        return _wrapped(f"All {count} checks, {record.values} values, are within their tolerances.")
    lines = _wrapped(f"{len(record.off)} of {count} checks {verb_for(len(record.off))} off:")
    for outcome in record.off:
        lines += _wrapped(f"{outcome.check.topic}: {outcome.check.name}", 2)
    return lines + _wrapped("Do not rely on this installation before that is explained.")


def _to_sign() -> list[str]:
    return [f"{word:<12}{'_' * 50}" for word in ("Laboratory", "Checked by", "Date", "Signature")]


def _wrapped(text: str, indent: int = 0) -> list[str]:
    return wrapped(text, _WIDTH, first=" " * indent, later=" " * (indent + 2 * bool(indent)))
