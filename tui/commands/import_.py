"""`fullturn import`: a session from a spreadsheet's matrix."""

from __future__ import annotations

import argparse
from datetime import datetime, time
from typing import TYPE_CHECKING, Any

from tui.dialect import decimal, delimiter
from tui.option_types import word
from tui.streams import say
from tui.typed_path import typed_path

if TYPE_CHECKING:
    from sessions.import_wanted import Repeated, Wanted
    from tui.commands import Subparsers

_EXAMPLES = """\
examples:
  fullturn import old.csv --dry-run
  fullturn import old.csv -o old.toml --positions 12 --date 2024-05-17
  fullturn import old.csv -o old.toml --cells A1:E27 --repeats 2 rows

Rows are steps, columns are runs. Begin with --dry-run: it says what was
understood and writes nothing. What may be more than one thing is refused with
the option that settles it. A note in the session tells the cell of every
reading. Steps may be numbered from 0 or given as angles; the closing reading
is the row after the last position.
"""


def add_parser(subparsers: Subparsers) -> None:
    """Add the command and its options."""
    parser = subparsers.add_parser(
        "import",
        help="a session from a spreadsheet's matrix",
        description="Make a session from a CSV file: a row for each step, a column for each run.",
        epilog=_EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.set_defaults(run=run)
    parser.add_argument("csv", metavar="CSV", type=typed_path, help="the table, saved as CSV")
    parser.add_argument("-o", "--output", metavar="FILE", type=typed_path, help="the new session file")
    parser.add_argument("--dry-run", action="store_true", help="say what was understood, write nothing")
    _add_table(parser.add_argument_group("the table"))
    _add_design(parser.add_argument_group("the measurement"))
    _add_session(parser.add_argument_group("the session"))


def _add_table(table: argparse._ArgumentGroup) -> None:
    yes_no = argparse.BooleanOptionalAction
    table.add_argument("--delimiter", metavar="SIGN", type=delimiter, help="comma, semicolon or tab")
    table.add_argument("--decimal", metavar="SIGN", type=decimal, help="point or comma")
    table.add_argument("--cells", metavar="RANGE", default="", help="the range to read, as A2:E15")
    table.add_argument("--header", action=yes_no, help="whether the first row names the runs")
    table.add_argument("--steps", action=yes_no, help="whether the first column names the steps")
    table.add_argument(
        "--repeats",
        metavar="N",
        nargs="+",
        help="readings to a cell; with “rows” or “columns”: those side by side are repeats",
    )


def _add_design(design: argparse._ArgumentGroup) -> None:
    design.add_argument("--positions", metavar="N", type=int, help="positions measured on each circle")
    design.add_argument("--offsets", metavar="K", nargs="+", help="offset of each run, or all")
    design.add_argument(
        "--closing", action=argparse.BooleanOptionalAction, help="whether there are closing readings"
    )
    design.add_argument(
        "--closure", metavar="C", type=word("dual", "single"), help="dual (as usual) or single"
    )
    design.add_argument(
        "--reading",
        metavar="R",
        type=word("position", "interval"),
        help="position (as usual) or interval",
    )
    design.add_argument(
        "--arrangement",
        metavar="A",
        type=word("counter-rotating", "face by face"),
        help="counter-rotating (as usual) or face-by-face",
    )
    design.add_argument(
        "--direction",
        metavar="D",
        type=word("forward", "forward and return"),
        help="forward (as usual), or forward-and-return: columns in turn",
    )
    design.add_argument("--drift", metavar="D", type=word("none", "linear"), help="none (as usual) or linear")


def _add_session(session: argparse._ArgumentGroup) -> None:
    session.add_argument("--title", help="by default the title in the table, or the name of the file")
    session.add_argument("--operator", help="who took the readings")
    session.add_argument("--date", metavar="WHEN", type=_date, help="when, as 2024-05-17 or 2024-05-17T09:30")
    for which in ("lower", "upper"):
        session.add_argument(f"--{which}", metavar="NAME", help=f"name of the {which} circle")
        session.add_argument(f"--{which}-serial", metavar="S", help="its serial number")
    session.add_argument(
        "--unit", metavar="U", type=word("arcsec", "urad"), help="of the readings: arcsec or urad"
    )
    session.add_argument("--resolution", metavar="R", type=float, help="of the instrument, in the unit")
    session.add_argument("--polarity", type=int, choices=(1, -1), help="1 as usual")
    session.add_argument(
        "--set",
        metavar="FIELD=VALUE",
        action="append",
        default=[],
        help="any other field of the session, as lower.tolerance=0.25",
    )


def run(arguments: argparse.Namespace) -> int:
    """Say what was understood, and record it unless it is a dry run.

    Returns
    -------
    int
        0.
    """
    from sessions.counted import counted
    from sessions.import_table import understand
    from sessions.importing import ANOTHER_NAME, read_table, record_table
    from sessions.output import refuse_existing
    from solver.refused import Refused
    from tui.import_text import import_text

    if arguments.output is None and not arguments.dry_run:
        raise Refused(
            "there is no name for the session", where="import", remedy="say -o FILE, or --dry-run first"
        )
    output = arguments.output
    if output is not None:
        refuse_existing(output, overwrite=False, remedy=ANOTHER_NAME)
    source = arguments.csv
    found = understand(read_table(source), source.name, _wanted(arguments), _fields(arguments))
    say(import_text(found))
    if arguments.dry_run or output is None:
        say("\nNothing was written. If this is right, run it again with -o FILE.\n")
        return 0
    count = record_table(found, output, date=arguments.date)
    say(f"\n{counted(count, 'reading')} recorded in {output}.\n")
    return 0


def _wanted(arguments: argparse.Namespace) -> Wanted:
    from sessions.import_grid import DELIMITERS
    from sessions.import_numbers import DECIMALS
    from sessions.import_wanted import Wanted

    repeats, repeated = _repeats(arguments.repeats)
    return Wanted(
        delimiter=DELIMITERS[arguments.delimiter] if arguments.delimiter else None,
        decimal=DECIMALS[arguments.decimal] if arguments.decimal else None,
        cells=arguments.cells,
        header=arguments.header,
        steps=arguments.steps,
        positions=arguments.positions,
        offsets=" ".join(arguments.offsets or ()),
        closing=arguments.closing,
        repeats=repeats,
        repeated=repeated,
        closure=arguments.closure,
        reading=arguments.reading,
        direction=arguments.direction,
    )


def _repeats(words: list[str] | None) -> tuple[int | None, Repeated | None]:
    from solver.refused import Refused

    if words is None:
        return None, None
    count, *place = words
    if not count.isdecimal() or len(count) > len("1000") or not 1 <= int(count) <= 1000:
        raise Refused(
            f"“{count[:20]}” is no number of readings", where="--repeats", remedy="say --repeats 2 rows"
        )
    if place not in ([], ["rows"], ["columns"]):
        raise Refused(f"“{' '.join(place)}” is not known", where="--repeats", remedy="say rows or columns")
    repeated: Repeated | None = None
    if place:
        repeated = "rows" if place == ["rows"] else "columns"
    return int(count), repeated


def _fields(arguments: argparse.Namespace) -> dict[str, Any]:
    """Return the header's fields that the table does not tell."""
    fields: dict[str, Any] = {}
    given = {
        "title": arguments.title,
        "operator": arguments.operator,
        "design.arrangement": arguments.arrangement,
        "design.drift": arguments.drift,
        "lower.name": arguments.lower,
        "lower.serial": arguments.lower_serial,
        "upper.name": arguments.upper,
        "upper.serial": arguments.upper_serial,
        "instrument.unit": arguments.unit,
        "instrument.resolution": arguments.resolution,
        "instrument.polarity": arguments.polarity,
    }
    for field, value in given.items():
        if value is not None:
            _put(fields, field, value)
    for words in arguments.set:
        field, value = _assignment(words)
        _put(fields, field, value)
    return fields


def _put(fields: dict[str, Any], field: str, value: object) -> None:
    section, _, key = field.rpartition(".")
    (fields.setdefault(section, {}) if section else fields)[key] = value


def _assignment(words: str) -> tuple[str, object]:
    """Read FIELD=VALUE; the value as in the session file, or a plain text."""
    import tomllib

    from solver.refused import Refused

    field, equals, text = words.partition("=")
    field = field.strip()
    if not equals or field.count(".") > 1:
        raise Refused(f"“{words}” sets no field", where="--set", remedy="write it like lower.tolerance=0.25")
    if field.startswith("design.") and field not in ("design.arrangement", "design.drift"):
        raise Refused(
            f"{field} comes from the table", where="--set", remedy="use the option for it, see --help"
        )
    try:
        value = tomllib.loads(f"value = {text}")["value"]
    except tomllib.TOMLDecodeError:
        value = text.strip()
    return field, value


def _date(text: str) -> datetime:
    """Read a day, for which noon stands, or a day and a time; without an offset it is local time."""
    try:
        moment = datetime.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"“{text}” is no date: write it like 2024-05-17") from None
    if len(text) <= len("2024-05-17"):
        moment = datetime.combine(moment.date(), time(12))
    return moment if moment.tzinfo else moment.astimezone()
