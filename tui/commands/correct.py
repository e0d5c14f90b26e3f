"""`fullturn correct`: what a calibrated circle really gives at an angle, from a zero."""

from __future__ import annotations

import argparse
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

from tui.option_types import fraction
from tui.streams import say, warn
from tui.typed_path import typed_path

if TYPE_CHECKING:
    from sessions.corrections import Correction
    from tui.commands import Subparsers

_EXAMPLES = """\
examples:
  fullturn correct table-04.toml --at 210
  fullturn correct table-04.toml --circle upper --at 210 --from 30
  fullturn correct table-04.toml --from 30
  fullturn correct table-04.toml --csv corrections.csv

Angles to set in degrees, errors in arc seconds with their expanded uncertainty. Without --at
all positions are listed, those of arcs in fine steps among them. Exit status 1 says that
something asked for is not determined, or that flags stand. The session file is only read.
"""


def add_parser(subparsers: Subparsers) -> None:
    """Add the command and its options."""
    parser = subparsers.add_parser(
        "correct",
        help="what a calibrated circle really gives at an angle",
        description="Look up what a calibrated circle really gives at an angle, from a zero.",
        epilog=_EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("file", metavar="FILE", type=typed_path, help="a session file")
    parser.add_argument(
        "--circle", choices=("lower", "upper"), default="lower", help="lower (as usual) or upper"
    )
    parser.add_argument("--at", metavar="ANGLE", type=fraction, nargs="+", help="nominal angles, degrees")
    parser.add_argument(
        "--from", metavar="ANGLE", dest="zero", type=fraction, default=Fraction(0), help="the zero; 0"
    )
    parser.add_argument(
        "--csv", metavar="OUT", type=typed_path, help="write them for a controller or spreadsheet"
    )
    parser.add_argument("--json", action="store_true", help="print them as JSON")
    parser.add_argument("--force", action="store_true", help="write over a file that is there already")
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Look up and print.

    Returns
    -------
    int
        1 where something asked for is not determined or flags stand, else 0.
    """
    from sessions.analysis import analyse
    from sessions.budget import Budget, budget_of
    from sessions.circle_words import circle_words
    from sessions.corrections import corrections, measured_at
    from sessions.counted import counted_are
    from sessions.session import Session

    with Session.read(arguments.file) as session:
        analysis, entries = analyse(session.matrix.snapshot()), session.entries
        notices = session.notices
    n = analysis.header.design.positions
    budget = budget_of(entries, n) or Budget()
    circle = arguments.circle
    zero = measured_at(analysis, circle, arguments.zero, "--from")
    asked = arguments.at and [measured_at(analysis, circle, angle, "--at") for angle in arguments.at]
    table = corrections(analysis, budget, circle, zero)
    if asked is not None:
        found = {line.position: line for line in table}
        table = tuple(found[position] for position in asked)
    for notice in notices:
        warn(notice)
    if analysis.flags:
        flags = counted_are(len(analysis.flags), "flag", "stand")
        warn(f"{flags}, and the errors may suffer from it: fullturn solve names the readings")
    if arguments.csv is not None:
        _write(table, arguments.csv, overwrite=arguments.force)
    elif arguments.json:
        say(_json(table))
    else:
        items = dict(zip(("lower", "upper"), circle_words(analysis.header), strict=False))
        say(_text(table, budget.probability, analysis.header.title, items[circle].item))
    return 0 if all(line.determined for line in table) and not analysis.flags else 1


def _text(table: tuple[Correction, ...], probability: float, title: str, item: str) -> str:
    from math import isnan

    from sessions.certificate.numbers import DIGIT_SPACE, POINT_SPACE, aligned, decimals_of, pair
    from sessions.circle_words import angle_words

    positions = table[0].positions
    pairs = [pair(line.error, line.expanded) for line in table]
    values, uncertainties = (aligned(column) for column in zip(*pairs, strict=True))
    lines = [
        f"{title or '(no title)'}: {item}, from its {angle_words(table[0].zero, positions)}",
        f"error = actual minus nominal angle; U covers {100 * probability:.4g} %",
        "",
        f"{'set to':>9} {'nominal':>9} {'really gives':>18} {'error, ″':>14} {'U, ″':>9} {'k':>5}",
    ]
    for line, value, uncertainty in zip(table, values, uncertainties, strict=True):
        set_to = angle_words(line.position, positions)
        nominal = angle_words((line.position - line.zero) % positions, positions)
        decimals = decimals_of(line.expanded)
        really = line.actual_words(decimals) if line.determined else ""
        k = "" if isnan(line.factor) else f"{line.factor:.2f}"
        lines.append(f"{set_to:>9} {nominal:>9} {really:>18} {value:>14} {uncertainty:>9} {k:>5}".rstrip())
    return "\n".join(lines).replace(DIGIT_SPACE, " ").replace(POINT_SPACE, " ") + "\n"


def _json(table: tuple[Correction, ...]) -> str:
    import json

    from sessions.json_values import number

    lines = [
        {
            "position": line.position,
            "set_to_deg": line.set_to,
            "nominal_deg": line.nominal,
            "actual_deg": number(line.actual),
            "error": number(line.error),
            "expanded_uncertainty": number(line.expanded),
            "coverage_factor": number(line.factor),
            "effective_degrees_of_freedom": number(line.freedom),
        }
        for line in table
    ]
    found = {
        "format": "fullturn corrections",
        "version": 1,
        "circle": table[0].circle,
        "zero": table[0].zero,
        "positions": table[0].positions,
        "corrections": lines,
    }
    return json.dumps(found, allow_nan=False) + "\n"


def _write(table: tuple[Correction, ...], path: Path, *, overwrite: bool) -> None:
    from sessions.corrections import correction_csv
    from sessions.output import write_output

    write_output(path, correction_csv(table).encode(), overwrite=overwrite)
    say(f"{path}\n")
