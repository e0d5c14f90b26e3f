"""`fullturn report`: the certificate of a session, or the draft of one."""

from __future__ import annotations

import argparse
from datetime import date
from typing import TYPE_CHECKING

from solver.refused import Refused
from tui.streams import say, warn
from tui.typed_path import typed_path

if TYPE_CHECKING:
    from tui.commands import Subparsers

_EXAMPLES = """\
examples:
  fullturn report table-04.toml -o table-04.pdf
  fullturn report table-04.toml -o table-04.html --date 2026-03-05
  fullturn report table-04.toml -o table-04.csv --force

The ending says what is written: .pdf, .html (one file) or .csv (all results, all digits).
While cells are missing, flags stand, or something that a certificate must say is not filled
in, it is marked as a draft. Exit status 1 says that cells are missing, flags stand, no
uncertainty is determined, or an item does not conform. Laboratory, customer and number are
filled in on the screen of the certificate; what is empty is listed. The session file is only
read.
"""


def add_parser(subparsers: Subparsers) -> None:
    """Add the command and its options."""
    parser = subparsers.add_parser(
        "report",
        help="certificate of a session: .pdf, .html or .csv",
        description="Write the certificate of a session, or a draft of it.",
        epilog=_EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("file", metavar="FILE", type=typed_path, help="a session file")
    parser.add_argument(
        "-o", "--output", metavar="OUT", type=typed_path, required=True, help="where to write it"
    )
    parser.add_argument("--date", metavar="DAY", type=_day, help="date of issue, as 2026-03-05; today")
    parser.add_argument("--force", action="store_true", help="write over a file that is there already")
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Write the certificate.

    Returns
    -------
    int
        1 where cells are missing, flags stand, or an item does not conform; else 0.
    """
    from sessions.certificate.details import details_of
    from sessions.certificate.write import refuse_ending, write
    from sessions.certificate_data import certificate
    from sessions.output import refuse_existing
    from sessions.session import Session

    output = arguments.output
    refuse_ending(output)
    refuse_existing(output, overwrite=arguments.force)
    with Session.read(arguments.file) as session:
        _refuse_other_date(details_of(session.entries).issue_date, arguments.date)
        made = certificate(session, arguments.date or date.today())  # noqa: DTZ011 - the day where one is
        notices = session.notices
    notices += write(made, output, overwrite=arguments.force)
    for notice in notices:
        warn(notice)
    say(f"{output}\n")
    for reason in made.draft:
        say(f"draft: {reason}\n")
    if made.empty:
        say(f"not filled in: {', '.join(made.empty)}\n")
    for circle in made.circles:
        say(f"{circle.words.item}: {circle.decided}\n")
    return 1 if made.attention else 0


def _refuse_other_date(recorded: date | None, asked: date | None) -> None:
    if recorded is not None and asked is not None and asked != recorded:
        raise Refused(
            f"the date of issue is recorded as {recorded}",
            where="--date",
            remedy="leave --date out, or record another date on the screen of the certificate",
        )


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"“{text}” is no date: write it as 2026-03-05") from None
