"""`fullturn analyse`: what the errors of a circle are made of."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from tui.option_types import number
from tui.streams import say, warn
from tui.typed_path import typed_path

if TYPE_CHECKING:
    from tui.commands import Subparsers

_EXAMPLES = """\
examples:
  fullturn analyse table-04.toml
  fullturn analyse table-04.toml --circle upper --remove 1,2
  fullturn analyse table-04.toml --teeth 1440,24 --diameter 120 --json

Order 1 is mostly eccentricity, order 2 an ellipse or a tilt. The file is only
read. Angles in arc seconds; uncertainties are expanded ones, with the lines
of the recorded budget, or of type A only where none is recorded.
"""


def add_parser(subparsers: Subparsers) -> None:
    """Add the command and its options."""
    parser = subparsers.add_parser(
        "analyse",
        help="harmonics of a circle, what remains without some, largest errors",
        description="Take the errors of a circle apart: harmonics, what remains, the largest errors.",
        epilog=_EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.set_defaults(run=run)
    parser.add_argument("file", metavar="FILE", type=typed_path, help="a session file")
    parser.add_argument(
        "--circle", choices=("lower", "upper"), default="lower", help="lower (as usual) or upper"
    )
    parser.add_argument("--remove", metavar="H", type=_numbers, default=(), help="orders to take off, as 1,2")
    parser.add_argument(
        "--teeth",
        metavar="T",
        type=_numbers,
        default=(),
        help="numbers of teeth whose orders are to be named",
    )
    parser.add_argument(
        "--diameter", metavar="MM", type=_diameter, help="of the divisions, for the eccentricity"
    )
    parser.add_argument("--json", action="store_true", help="everything, machine-readable")


def run(arguments: argparse.Namespace) -> int:
    """Take apart and print.

    Returns
    -------
    int
        0, or 1 where flags stand: then the errors may not be what they seem.
    """
    from sessions.analysis import analyse
    from sessions.budget import budget_of
    from sessions.circle_analysis import analyse_circle
    from sessions.session import Session

    with Session.read(arguments.file) as session:
        snapshot, notices = session.matrix.snapshot(), session.notices
        budget = budget_of(session.entries, session.header.design.positions)
    analysis = analyse(snapshot)
    circle = analyse_circle(
        analysis, arguments.circle, arguments.remove, arguments.teeth, arguments.diameter, budget
    )
    for notice in notices:
        warn(notice)
    if arguments.json:
        import json

        from sessions.circle_analysis_result import circle_analysis_table

        say(json.dumps(circle_analysis_table(circle), allow_nan=False, indent=1) + "\n")
    else:
        from tui.analyse_text import analyse_text

        say(analyse_text(analysis, circle, arguments.teeth))
    if analysis.flags:
        from sessions.counted import counted_are

        warn(f"{counted_are(len(analysis.flags), 'reading')} suspect; “fullturn solve” says which")
    return 1 if analysis.flags else 0


def _numbers(text: str) -> tuple[int, ...]:
    words = text.replace(",", " ").split()
    for word in words:
        if not word.isascii() or not word.isdigit() or not int(word[:9]) > 0 or len(word) > 9:
            raise argparse.ArgumentTypeError(f"“{word}” is no number from 1 on: write them as 1,2")
    return tuple(int(word) for word in words)


def _diameter(text: str) -> float:
    value = number(text)
    if not 0 < value < 1e6:
        raise argparse.ArgumentTypeError(f"“{text}” is no diameter in millimetres")
    return value
