"""`fullturn solve`: what a session says, finished or not."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from tui.streams import say, warn
from tui.typed_path import typed_path

if TYPE_CHECKING:
    from tui.commands import Subparsers

_EXAMPLES = """\
examples:
  fullturn solve table-04.toml
  fullturn solve table-04.toml --json > table-04.json

Exit status 1 says that flags stand. The file is only read. Angles in arc seconds, uncertainties
standard and of type A.
"""


def add_parser(subparsers: Subparsers) -> None:
    """Add the command and its options."""
    parser = subparsers.add_parser(
        "solve",
        help="solved errors, uncertainties and flags of a session",
        description="Solve a session, finished or not, and say which readings look wrong.",
        epilog=_EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("file", metavar="FILE", type=typed_path, help="a session file")
    parser.add_argument("--json", action="store_true", help="everything, machine-readable")
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Solve and print; return 1 where flags stand."""
    from sessions.analysis import analyse
    from sessions.session import Session

    with Session.read(arguments.file) as session:
        snapshot, entries, notices = session.matrix.snapshot(), session.entries, session.notices
    analysis = analyse(snapshot)
    for notice in notices:
        warn(notice)
    if arguments.json:
        import json

        from sessions.result import result

        say(json.dumps(result(snapshot, analysis, entries), allow_nan=False, indent=1) + "\n")
    else:
        from tui.solve_text import solve_text

        say(solve_text(snapshot, analysis))
    return 1 if analysis.flags else 0
