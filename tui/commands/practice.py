"""`fullturn practice`: a simulated bench with hidden errors, to learn on and to check on."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from tui.streams import say, warn
from tui.typed_path import typed_path

if TYPE_CHECKING:
    from sessions.design import Design, Direction
    from sessions.practice.parameters import Parameters
    from solver.closure import Kind, ReadingMode
    from tui.commands import Subparsers

_EXAMPLES = """\
examples:
  fullturn practice                          a short walk, and three benches
  fullturn practice --positions 12 --slips   39 readings, some of them wrong
  fullturn practice --subdivide 6            finer steps inside an arc as well
  fullturn practice -o a.toml --seed 7       a whole session, without the screen
  fullturn practice --truth a.toml           the truth beside the solved errors

The session file holds the seed, not the true errors. The same seed and plan
make the same stack. Exit status 1 of --truth says that a slip was missed or a
reading typed wrongly. Angles in arc seconds.
"""

#: Options that ask for a bench of one's own; without any of them the menu opens.
_BENCH = (
    "positions",
    "offsets",
    "subdivide",
    "closure",
    "reading",
    "arrangement",
    "direction",
    "no_closing",
    "repeats",
    "seed",
    "calm",
    "slips",
    "errors",
    "within",
    "seating",
)


def add_parser(subparsers: Subparsers) -> None:
    """Add the command and its options."""
    from tui.cli import add_screen_options
    from tui.option_types import number, whole, word

    parser = subparsers.add_parser(
        "practice",
        help="learn the method on a simulated bench with known errors",
        description="A simulated stack: you type what it reads, the true errors come last.",
        epilog=_EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.set_defaults(run=run)
    plan = parser.add_argument_group("the plan")
    plan.add_argument("--positions", metavar="N", type=whole, help="positions of each circle; 8")
    plan.add_argument("--offsets", metavar="K", nargs="+", help="offsets of the runs, or all; the best three")
    plan.add_argument(
        "--subdivide", metavar="M", type=whole, help="read the first interval in so many fine steps as well"
    )
    plan.add_argument("--closure", type=word("dual", "single"), help="dual (as usual) or single")
    plan.add_argument("--reading", type=word("position", "interval"), help="position (as usual) or interval")
    plan.add_argument(
        "--arrangement",
        type=word("counter-rotating", "face by face"),
        help="counter-rotating (as usual) or face-by-face",
    )
    plan.add_argument(
        "--direction",
        type=word("forward", "forward and return"),
        help="forward (as usual) or forward-and-return",
    )
    plan.add_argument("--no-closing", action="store_true", help="leave out the closing readings")
    plan.add_argument("--repeats", metavar="R", type=whole, help="readings in each cell; 1")
    stack = parser.add_argument_group("the stack")
    stack.add_argument("--seed", metavar="S", type=whole, help="everything random follows from it")
    stack.add_argument(
        "--calm", action="store_true", help="noise only: no drift, no disturbed air, no lazy tooth"
    )
    stack.add_argument("--slips", action="store_true", help="the assistant makes slips, to be found")
    stack.add_argument("--errors", metavar="S", type=number, help="size of the position errors; 0.2")
    stack.add_argument("--within", metavar="S", type=number, help="scatter within a seating; 0.015")
    stack.add_argument("--seating", metavar="S", type=number, help="scatter between seatings; 0.03")
    use = parser.add_argument_group("without the screen")
    use.add_argument(
        "-o", "--output", metavar="FILE", type=typed_path, help="write a whole simulated session"
    )
    use.add_argument("--truth", metavar="FILE", type=typed_path, help="the truth of a practice session")
    use.add_argument("--json", action="store_true", help="with --truth: machine-readable")
    add_screen_options(parser)


def run(arguments: argparse.Namespace) -> int:
    """Open the bench or its menu, write a simulated session, or print the truth of one.

    Returns
    -------
    int
        1 where the truth was asked for and something was missed; else 0.
    """
    if arguments.truth is not None:
        return _truth(arguments)
    if arguments.json:
        from solver.refused import Refused

        raise Refused("--json goes with --truth FILE only", where="practice", remedy="leave it out")
    if arguments.output is not None:
        return _write(arguments)
    from tui.cli import ready_screen, run_screen, sessions_folder

    ready_screen()
    # 0 is a choice as well.
    chosen = [getattr(arguments, name) for name in _BENCH]
    if all(each is None or each is False for each in chosen):
        return run_screen(arguments, None, practice=True)
    from sessions.names import free_path
    from sessions.practice.begin import FILE, begin

    folder = sessions_folder(arguments)
    session = begin(free_path(folder, FILE), _design(arguments), _parameters(arguments))
    session.close()
    return run_screen(arguments, session.path)


def _write(arguments: argparse.Namespace) -> int:
    from sessions.clock import local_time
    from sessions.counted import counted
    from sessions.plan_form import offset_words
    from sessions.practice.begin import BenchClock, begin, planned, play

    design = planned(_design(arguments))
    clock = BenchClock(design, local_time())
    parameters = _parameters(arguments)
    path = arguments.output
    with begin(path, design, parameters, clock=clock) as session:
        play(session, clock)
        count = session.matrix.accepted
    runs = (
        counted(len(design.offsets), "run")
        if design.closure == "single"
        else f"offsets {offset_words(design)}"
    )
    if design.arcs:
        runs += f"; {counted(len(design.arcs), 'run')} over an arc in {design.subdivision} fine steps"
    say(
        f"{path}: {counted(count, 'reading')}; {design.positions} positions; {runs}; seed {parameters.seed}\n"
    )
    return 0


def _truth(arguments: argparse.Namespace) -> int:
    from sessions.analysis import analyse
    from sessions.practice.bench import PracticeBench
    from sessions.practice.debrief import debrief
    from sessions.session import Session

    with Session.read(arguments.truth) as session:
        bench = PracticeBench(session)
        found = debrief(session, analyse(session.matrix.snapshot()))
        title, decimals, notices = session.header.title, bench.decimals, session.notices
    for notice in notices:
        warn(notice)
    if arguments.json:
        import json

        from sessions.practice.result import debrief_table

        say(json.dumps(debrief_table(found, bench.parameters), allow_nan=False) + "\n")
    else:
        from tui.truth_text import truth_text

        say(truth_text(found, title, decimals))
    return 1 if found.missed or found.mistyped else 0


def _design(arguments: argparse.Namespace) -> Design:
    from sessions.design import MOST_POSITIONS, MOST_REPEATS, Design
    from sessions.new import read_offsets
    from sessions.practice.begin import POSITIONS
    from solver.refused import Refused

    positions = POSITIONS if arguments.positions is None else arguments.positions
    repeats = 1 if arguments.repeats is None else arguments.repeats
    closure: Kind = arguments.closure or "dual"
    reading: ReadingMode = arguments.reading or ("position" if closure == "dual" else "interval")
    direction: Direction = arguments.direction or "forward"
    if not 2 <= positions <= MOST_POSITIONS:
        raise Refused(
            f"{positions} positions cannot be simulated",
            where="--positions",
            remedy=f"use from 2 to {MOST_POSITIONS}",
        )
    if not 1 <= repeats <= MOST_REPEATS:
        raise Refused(
            f"{repeats} readings in a cell cannot be simulated",
            where="--repeats",
            remedy=f"use from 1 to {MOST_REPEATS}",
        )
    if closure == "single" and reading == "position":
        raise Refused("a single closure is read by interval", where="--reading", remedy="leave --reading out")
    if direction != "forward" and reading == "interval":
        raise Refused("intervals are read one way", where="--direction", remedy="leave --direction out")
    offsets: tuple[int, ...] = ()
    if arguments.offsets is not None:
        try:
            offsets = read_offsets(" ".join(arguments.offsets), positions)
        except Refused as refused:
            raise Refused(refused.what, where="--offsets", remedy="give numbers like 0 1 3, or all") from None
    design = Design(
        positions,
        offsets,
        closure=closure,
        reading=reading,
        arrangement=arguments.arrangement or "counter-rotating",
        direction=direction,
        closing=reading == "position" and not arguments.no_closing,
        repeats=repeats,
    )
    return design if arguments.subdivide is None else _divided(design, arguments.subdivide)


def _divided(design: Design, subdivision: int) -> Design:
    from sessions.practice.begin import planned
    from sessions.subdivision import divided, proposed
    from solver.refused import Refused

    if design.closure != "dual" or design.reading != "position":
        raise Refused(
            "finer steps are read by position, one circle against the other",
            where="--subdivide",
            remedy="leave --closure and --reading out",
        )
    coarse = planned(design)
    try:
        return divided(coarse, subdivision, (0,), proposed(coarse, subdivision))
    except Refused as refused:
        raise Refused(refused.what, where="--subdivide", remedy=refused.remedy) from None


def _parameters(arguments: argparse.Namespace) -> Parameters:
    from dataclasses import replace

    from sessions.practice.parameters import USUAL_SLIPS, Parameters, checked, new_seed

    parameters = Parameters(new_seed() if arguments.seed is None else arguments.seed)
    given = {name: getattr(arguments, name) for name in ("errors", "within", "seating")}
    parameters = replace(parameters, **{name: value for name, value in given.items() if value is not None})
    if arguments.calm:
        parameters = parameters.calm
    return checked(replace(parameters, slips=USUAL_SLIPS if arguments.slips else 0.0))
