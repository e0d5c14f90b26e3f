"""`fullturn export`: the readings of a session as CSV."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from tui.dialect import decimal, delimiter
from tui.streams import say, warn
from tui.typed_path import typed_path

if TYPE_CHECKING:
    from tui.commands import Subparsers

_EXAMPLES = """\
examples:
  fullturn export table-04.toml -o table-04.csv
  fullturn export table-04.toml -o t.csv --delimiter semicolon --decimal comma
  fullturn export table-04.toml -o all.csv --long

The matrix has a row for each step and a column for each run, and can be
imported again; a session with arcs in fine steps has the long list alone.
Struck readings are only in the long list; a reason that a spreadsheet would
take for a formula stands there behind an apostrophe. Values are as typed, in
the unit of the session. Splits of a run are in neither: they stay in the
session file.
"""


def add_parser(subparsers: Subparsers) -> None:
    """Add the command and its options."""
    parser = subparsers.add_parser(
        "export",
        help="the readings of a session as a CSV file",
        description="Write the readings of a session to a CSV file, for a spreadsheet.",
        epilog=_EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.set_defaults(run=run)
    parser.add_argument("file", metavar="FILE", type=typed_path, help="a session file")
    parser.add_argument(
        "-o", "--output", metavar="CSV", type=typed_path, required=True, help="the new CSV file"
    )
    parser.add_argument("--long", action="store_true", help="a list of all readings, struck ones too")
    parser.add_argument(
        "--delimiter",
        metavar="SIGN",
        type=delimiter,
        default="comma",
        help="comma (as usual), semicolon or tab",
    )
    parser.add_argument(
        "--decimal",
        metavar="SIGN",
        type=decimal,
        default="point",
        help="point (as usual) or comma",
    )


def run(arguments: argparse.Namespace) -> int:
    """Write the file.

    Returns
    -------
    int
        0.
    """
    from sessions.counted import counted, counted_are
    from sessions.export import export_long, export_matrix, write_csv
    from sessions.import_grid import DELIMITERS
    from sessions.import_numbers import DECIMALS
    from sessions.session import Session

    with Session.read(arguments.file) as session:
        snapshot = session.matrix.snapshot()
        notices = session.notices
    for notice in notices:
        warn(notice)
    export = export_long if arguments.long else export_matrix
    output = arguments.output
    write_csv(output, export(snapshot, DELIMITERS[arguments.delimiter], DECIMALS[arguments.decimal]))
    count = snapshot.accepted + (snapshot.struck if arguments.long else 0)
    struck = (
        ""
        if arguments.long or not snapshot.struck
        else f"; {counted_are(snapshot.struck, 'struck one')} left out"
    )
    say(f"{counted(count, 'reading')} written to {output}{struck}.\n")
    for run, step in snapshot.splits:
        say(f"The split of run {run} before step {step} is left out.\n")
    return 0
