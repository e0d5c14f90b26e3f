"""`fullturn selfcheck`: the published examples on this computer, expected beside obtained."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING, Any

from tui.streams import say
from tui.typed_path import typed_path

if TYPE_CHECKING:
    from tui.commands import Subparsers

_EXAMPLES = """\
examples:
  fullturn selfcheck
  fullturn selfcheck -o validation-2026-03.txt
  fullturn selfcheck --json

Of each check the value farthest off is shown; -o writes all of them. The
ending says how: .txt to print and sign (ISO/IEC 17025:2017, clause 7.11), .json
for machines. Exit status 1 says that a check is not within its tolerance.
"""


def add_parser(subparsers: Subparsers) -> None:
    """Add the command and its options."""
    parser = subparsers.add_parser(
        "selfcheck",
        help="published examples on this computer, expected beside obtained",
        description="Run published examples on this computer: expected beside obtained.",
        epilog=_EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.set_defaults(run=run)
    parser.add_argument("--json", action="store_true", help="every value, machine-readable")
    parser.add_argument(
        "-o",
        "--output",
        metavar="RECORD",
        type=typed_path,
        help="write the software validation record: .txt, .json",
    )


def run(arguments: argparse.Namespace) -> int:
    """Run the checks.

    Returns
    -------
    int
        0 where every check is within its tolerance, else 1.
    """
    from sessions.clock import local_time
    from sessions.selfcheck.record import selfcheck
    from sessions.selfcheck.record_table import record_table
    from sessions.selfcheck.write import refuse_path, write_record
    from tui.selfcheck_text import selfcheck_text, verdict_text

    output = arguments.output
    if output is not None:
        refuse_path(output)
    record = selfcheck(local_time())
    table = record_table(record)
    if output is not None:
        as_json = output.suffix.lower() == ".json"
        write_record(output, _json(table) if as_json else selfcheck_text(record, whole=True))
    if arguments.json:
        say(_json(table))
    elif output is not None:
        say(f"{output}\n{verdict_text(record)}")
    else:
        say(selfcheck_text(record))
    return 0 if record.within else 1


def _json(table: dict[str, Any]) -> str:
    import json

    return json.dumps(table, allow_nan=False, indent=1) + "\n"
