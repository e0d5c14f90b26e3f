"""`fullturn plan`: what each choice of offsets costs and gives."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from typing import TYPE_CHECKING

from tui.option_types import fraction, number, whole, word
from tui.streams import say

if TYPE_CHECKING:
    from sessions.plan import Wanted
    from sessions.plan_arcs import WantedArcs
    from solver.closure import Kind, ReadingMode
    from tui.commands import Subparsers

#: Digits of the longest number read, and as many as are repeated of one that is not.
_DIGITS, _SHOWN = 9, 20

_EXAMPLES = """\
examples:
  fullturn plan --positions 36 --accepted-sd 0.05 --tolerance 0.2
  fullturn plan --step 22.5 --divisions 1440 720
  fullturn plan --positions 12 --offsets 0 1 4
  fullturn plan --positions 12 --subdivide 30 --arcs 0,3 --arc-offsets 0,1,4,10,18,30

Angles in arc seconds. Shown are the best offsets known for each number of runs, and which of them to take.
With --subdivide: after the runs round the circle, arcs one interval long are read in fine steps, and
all is solved together. Said is what that costs and gives, against a complete closure in fine steps.
"""


def add_parser(subparsers: Subparsers) -> None:
    """Add the command and its options."""
    parser = subparsers.add_parser(
        "plan",
        help="what each choice of offsets costs in hours and gives in uncertainty",
        description="Weigh choices of offsets before the first reading: readings, hours, uncertainty.",
        epilog=_EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.set_defaults(run=run)
    circle = parser.add_argument_group("the circles")
    circle.add_argument("--positions", metavar="N", type=whole, help="positions measured on each circle")
    circle.add_argument("--step", metavar="ANGLE", type=fraction, help="or degrees between them, like 22.5")
    circle.add_argument(
        "--divisions", metavar="D", type=whole, nargs="+", help="divisions of the lower and the upper circle"
    )
    work = parser.add_argument_group("the work")
    work.add_argument("--closure", type=word("dual", "single"), help="dual (as usual) or single")
    work.add_argument("--reading", type=word("position", "interval"), help="position (as usual) or interval")
    work.add_argument(
        "--arrangement",
        type=word("counter-rotating", "face by face"),
        default="counter-rotating",
        help="counter-rotating (as usual) or face-by-face",
    )
    work.add_argument(
        "--direction",
        type=word("forward", "forward and return"),
        default="forward",
        help="forward (as usual) or forward-and-return",
    )
    work.add_argument("--no-closing", action="store_true", help="leave out the closing readings")
    work.add_argument("--repeats", metavar="R", type=whole, default=1, help="readings in each cell; 1")
    work.add_argument("--offsets", metavar="K", nargs="+", help="weigh these offsets")
    work.add_argument("--counts", metavar="M", nargs="+", help="weigh these numbers of offsets only")
    finer = parser.add_argument_group("finer steps inside arcs")
    finer.add_argument("--subdivide", metavar="M", type=whole, help="fine steps in an interval")
    finer.add_argument("--arcs", metavar="A", nargs="+", help="all (as usual), or intervals from 0, like 0,3")
    finer.add_argument("--arc-offsets", metavar="K", nargs="+", help="in fine steps, instead of good ones")
    wish = parser.add_argument_group("the wish")
    wish.add_argument("--accepted-sd", metavar="S", type=number, help="standard deviation of a cell; 0.05")
    wish.add_argument("--accepted-sd-dof", metavar="V", type=whole, help="its degrees of freedom")
    wish.add_argument("--tolerance", metavar="T", type=number, help="plus or minus, of a position error")
    pace = parser.add_argument_group("the pace, in seconds")
    pace.add_argument("--seconds", metavar="S", type=number, help="to step, settle and read; 75")
    pace.add_argument("--repeat-seconds", metavar="S", type=number, help="to read again without moving; 15")
    pace.add_argument("--offset-seconds", metavar="S", type=number, help="to set the next offset; 120")
    parser.add_argument("--json", action="store_true", help="print the plan as JSON")


def run(arguments: argparse.Namespace) -> int:
    """Print the plan.

    Returns
    -------
    int
        0.
    """
    from sessions.plan import plan

    finer = _finer(arguments)
    made = plan(_wanted(arguments))
    arcs = None
    if finer is not None:
        from sessions.plan_arcs import plan_arcs

        arcs = plan_arcs(made, finer)
    if arguments.json:
        import json

        from sessions.plan_result import plan_table

        # ASCII, so that no terminal's encoding can spoil it.
        say(json.dumps(plan_table(made, arcs), allow_nan=False) + "\n")
    else:
        from tui.plan_text import plan_text

        say(plan_text(made, arcs))
    return 0


def _finer(arguments: argparse.Namespace) -> WantedArcs | None:
    """Return which arcs are to be read in fine steps, if any are."""
    from sessions.plan_arcs import WantedArcs
    from solver.refused import Refused

    if arguments.subdivide is None:
        given = "--arcs" if arguments.arcs else "--arc-offsets" if arguments.arc_offsets else ""
        if given:
            raise Refused(
                "no interval is divided", where=given, remedy="add --subdivide, the fine steps of an interval"
            )
        return None
    arcs = "all" if arguments.arcs is None else " ".join(arguments.arcs)
    return WantedArcs(arguments.subdivide, arcs, _list(arguments.arc_offsets, "--arc-offsets"))


def _wanted(arguments: argparse.Namespace) -> Wanted:
    from sessions.bench_time import Pace
    from sessions.design import Design
    from sessions.divisions import refuse_positions
    from sessions.plan import Wanted
    from sessions.step_angle import positions_of

    closure: Kind = arguments.closure or "dual"
    polygon = closure == "dual" and arguments.arrangement == "face by face"
    positions = positions_of(
        arguments.positions, arguments.step, tuple(arguments.divisions or ()), polygon=polygon
    )
    if arguments.subdivide is not None and arguments.subdivide > 0:
        for divisions, circle in zip(
            arguments.divisions or (), ("lower circle", "upper circle"), strict=False
        ):
            refuse_positions(positions * arguments.subdivide, divisions, circle, "--subdivide")
    reading: ReadingMode = arguments.reading or ("position" if closure == "dual" else "interval")
    usual = Pace()
    return Wanted(
        design=Design(
            positions,
            (0,),
            closure=closure,
            reading=reading,
            arrangement=arguments.arrangement,
            direction=arguments.direction,
            closing=not arguments.no_closing,
            repeats=arguments.repeats,
        ),
        offsets=_list(arguments.offsets),
        counts=_list(arguments.counts),
        accepted_sd=arguments.accepted_sd,
        accepted_sd_dof=arguments.accepted_sd_dof,
        tolerance=arguments.tolerance,
        pace=Pace(
            usual.reading if arguments.seconds is None else arguments.seconds,
            usual.repeat if arguments.repeat_seconds is None else arguments.repeat_seconds,
            usual.offset if arguments.offset_seconds is None else arguments.offset_seconds,
        ),
    )


def _list(words: Sequence[str] | None, where: str = "--offsets") -> tuple[int, ...] | None:
    """Read whole numbers with blanks or commas between."""
    if words is None:
        return None
    from solver.refused import Refused

    parts = [part for word in words for part in word.replace(",", " ").split()]
    for part in parts:
        # Python does not read numbers of thousands of digits, and none of them is an offset.
        if not part.isdecimal() or len(part) > _DIGITS:
            shown = part if len(part) <= _SHOWN else f"{part[:_SHOWN]}…"
            raise Refused(f"“{shown}” is no whole number", where=where, remedy="give numbers like 0 1 4")
    return tuple(int(part) for part in parts)
