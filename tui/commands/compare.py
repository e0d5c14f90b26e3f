"""`fullturn compare`: the same circle in two or more sessions."""

from __future__ import annotations

import argparse
import re
from collections.abc import Mapping
from typing import TYPE_CHECKING, cast

from tui.streams import say
from tui.typed_path import typed_path

if TYPE_CHECKING:
    from sessions.same_circle import Choice, Which
    from solver.turned import Turn
    from tui.commands import Subparsers

_EXAMPLES = """\
examples:
  fullturn compare ht04-2025.toml ht04-2026.toml
  fullturn compare --circle lower,upper old.toml new.toml
  fullturn compare ht04-2024.toml ht04-2025.toml ht04-2026.toml --json

The oldest comes first; the others are compared with it. The circle is found by
its kind, name and serial. Where both stand in every session both are compared,
in JSON the upper one under "further". U is with the budgets recorded.
Exit status 1 says that some |E_n| is beyond 1, that all positions together
differ by more than chance, or that this could not be tested. The files are only
read.
"""

_EACH = "choose one for each session, as --circle lower,upper"
_OPTIONS: Mapping[Choice, str] = {
    "the lower one": "choose --circle lower",
    "of the first": "choose one with --circle lower or --circle upper, as it stands in the first session",
    "of each": _EACH,
    "of each all the same": f"if it is the same one all the same, {_EACH}",
    "any": f"choose with --circle lower or --circle upper, or {_EACH}",
    "turns": "check what is given with --turned",
}


def add_parser(subparsers: Subparsers) -> None:
    """Add the command and its options."""
    parser = subparsers.add_parser(
        "compare",
        help="has a circle changed from one session to another",
        description="Compare the errors of the same circle in two or more sessions.",
        epilog=_EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.set_defaults(run=run)
    parser.add_argument("old", metavar="OLD", type=typed_path, help="the session to compare with")
    parser.add_argument("new", metavar="NEW", type=typed_path, help="a later session")
    parser.add_argument(
        "more", metavar="MORE", type=typed_path, nargs="*", help="further sessions of the series"
    )
    parser.add_argument(
        "--circle",
        metavar="WHICH",
        type=_circles,
        default=(),
        help="lower or upper, of OLD; or one for each session, as lower,upper",
    )
    parser.add_argument(
        "--turned",
        metavar="K",
        type=_turns,
        default=(),
        help="position K of OLD became 0 (Kr: and the numbers rise the other way); one for each later session",
    )
    parser.add_argument("--json", action="store_true", help="everything, machine-readable")


def run(arguments: argparse.Namespace) -> int:
    """Compare and print; return 1 where something needs attention."""
    from sessions.comparison import compare_files
    from sessions.same_circle import ToChoose

    paths = [arguments.old, arguments.new, *arguments.more]
    try:
        comparisons = compare_files(paths, arguments.circle, arguments.turned)
    except ToChoose as refused:
        raise refused.told(_OPTIONS) from refused
    if arguments.json:
        import json

        from sessions.comparison_result import comparison_table

        say(json.dumps(comparison_table(*comparisons), allow_nan=False, indent=1) + "\n")
    else:
        from tui.compare_text import compare_text

        say("\n\n".join(compare_text(comparison, _turn_option) for comparison in comparisons))
    return 1 if any(comparison.attention for comparison in comparisons) else 0


def _circles(text: str) -> tuple[Which, ...]:
    words = [word.strip().lower() for word in text.split(",")]
    for word in words:
        if word not in ("lower", "upper"):
            raise argparse.ArgumentTypeError(f"“{word}” is not known: use lower or upper")
    return cast("tuple[Which, ...]", tuple(words))


def _turn_option(turns: tuple[Turn, ...]) -> str:
    """Return what is typed to take the later sessions with these turns; `_turns` reads it."""
    typed = ",".join(f"{turn.positions}{'r' if turn.reversed else ''}" for turn in turns)
    return f"say --turned {typed}"


def _turns(text: str) -> tuple[Turn, ...]:
    from solver.turned import Turn

    turns = []
    for word in text.split(","):
        found = re.fullmatch(r"\s*([0-9]{1,4})(r?)\s*", word)
        if not found:
            raise argparse.ArgumentTypeError(f"“{word}” is no turn: use a position, like 3, or 3r")
        turns.append(Turn(int(found[1]), bool(found[2])))
    return tuple(turns)
