"""The command line: find out what is asked for, import no more than that needs, end with an exit status.

0 done; 1 done, and something needs attention; 2 refused, with one line on standard error; never a traceback.
"""

from __future__ import annotations

import argparse
import difflib
import os
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import NoReturn, cast

from solver.refused import Refused
from tui import commands
from tui.show import of_system, show
from tui.streams import discard_output, make_safe
from tui.typed_path import typed_path

_SCREEN = ("demo", "open")
_EXAMPLES = """\
examples:
  fullturn                       the start screen: sessions, new session, demo
  fullturn demo                  a half-done example session, on a copy
  fullturn table-04.toml         go on with a session
  fullturn solve table-04.toml   its results, without the screen

A file that is called like a command: write ./solve. Sessions lie in the folder
Fullturn of your documents; --folder DIR or the variable FULLTURN_FOLDER changes that.
"""


class Parser(argparse.ArgumentParser):
    """A parser that refuses like everything else does: in one line."""

    def error(self, message: str) -> NoReturn:
        """Refuse what was typed."""
        where = self.prog.removeprefix("fullturn").strip()
        raise Refused(message, where=where, remedy=f"see “{self.prog} --help”")


def main(argv: Sequence[str] | None = None) -> int:
    """Run the program.

    Parameters
    ----------
    argv : sequence of str, optional
        The arguments without the program's name; by default those of the process.

    Returns
    -------
    int
        The exit status.
    """
    make_safe()
    try:
        status = _run(list(sys.argv[1:] if argv is None else argv))
        sys.stdout.flush()
    except Refused as refused:
        return show(refused)
    except KeyboardInterrupt:
        return 130
    except BrokenPipeError:
        discard_output()
        return 0
    except OSError as error:
        return show(of_system(error))
    except Exception as error:  # noqa: BLE001 - the last resort: kept in a file, said in one line
        from tui.fault import fault

        return show(fault(error))
    return status


def _run(argv: list[str]) -> int:
    known = (*_SCREEN, *commands.names())
    place = _first_word(argv)
    word = "" if place is None or argv[place] == "--" else argv[place]
    if place is not None and word not in known:
        _file_or_refuse(word or "".join(argv[place + 1 : place + 2]), known)
        argv = [*argv[:place], "open", *argv[place:]]
        word = "open"
    parser, subparsers = _parser()
    for name in commands.names() if not word else (word,):
        # The list of commands is wanted only for help; the screen must not wait for their imports.
        if name not in _SCREEN and (word or _wants_help(argv)):
            commands.load(name).add_parser(subparsers)
    arguments = parser.parse_args(argv)
    if arguments.version:
        from importlib.metadata import version

        sys.stdout.write(f"fullturn {version('fullturn')}\n")
        return 0
    return int(arguments.run(arguments))


def _parser() -> tuple[Parser, commands.Subparsers]:
    """Return the parser with the screen's own words; the other commands add themselves."""
    parser = Parser(
        prog="fullturn",
        description="Calibrate index tables and other divided circles by circle closure, at the bench.",
        usage="fullturn [options] [FILE | command ...]",
        epilog=_EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    parser.set_defaults(run=_start, folder=None, ascii=False, light=False)
    parser.add_argument("--version", action="store_true", help="say which version this is")
    add_screen_options(parser)
    subparsers = parser.add_subparsers(title="commands", metavar="", prog="fullturn")
    opening = subparsers.add_parser(
        "open",
        help="go on with a session (the word may be left out)",
        description="Open the screen on a session.",
        epilog="example:\n  fullturn table-04.toml",
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    opening.add_argument("file", metavar="FILE", type=typed_path, help="a session file, or a folder of them")
    opening.set_defaults(run=_open)
    demo = subparsers.add_parser(
        "demo",
        help="open an invented, half-done session, on a copy",
        description="Open a copy of the bundled example: an invented session, half done, to try it all on.",
        epilog="example:\n  fullturn demo",
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    demo.set_defaults(run=_demo)
    for screen in (opening, demo):
        add_screen_options(screen)
    return parser, subparsers


def add_screen_options(parser: argparse.ArgumentParser) -> None:
    """Add the options of the screen; they stand before or after the command alike."""
    absent = argparse.SUPPRESS
    parser.add_argument(
        "--folder", metavar="DIR", type=typed_path, default=absent, help="folder of the sessions"
    )
    parser.add_argument("--ascii", action="store_true", default=absent, help="draw with plain ASCII signs")
    parser.add_argument("--light", action="store_true", default=absent, help="begin with the light colours")


def _first_word(argv: list[str]) -> int | None:
    """Return where the first argument stands that is no option: a command, a file, or "--"."""
    place = 0
    while place < len(argv):
        if argv[place] == "--folder":
            place += 1
        elif argv[place] == "--" or not argv[place].startswith("-"):
            return place
        place += 1
    return None


def _wants_help(argv: list[str]) -> bool:
    return "-h" in argv or "--help" in argv


def _file_or_refuse(word: str, known: tuple[str, ...]) -> None:
    if typed_path(word).exists():
        return
    close = difflib.get_close_matches(word, known, n=1)
    if close:
        remedy = f"perhaps you meant “fullturn {close[0]}”"
        raise Refused(f"there is no command or file “{word}”", remedy=remedy)
    remedy = "“fullturn” lists the sessions, “fullturn demo” opens one to try"
    raise Refused("there is no such session", where=word, remedy=remedy)


def _start(arguments: argparse.Namespace) -> int:
    return run_screen(arguments, None)


def _open(arguments: argparse.Namespace) -> int:
    file = arguments.file
    if file.is_dir():
        arguments.folder = file
        return run_screen(arguments, None)
    return run_screen(arguments, file)


def _demo(arguments: argparse.Namespace) -> int:
    from sessions.demo import copy_demo

    ready_screen()
    return run_screen(arguments, copy_demo(sessions_folder(arguments)))


def run_screen(arguments: argparse.Namespace, path: Path | None, *, practice: bool = False) -> int:
    """Run the screen on a session, on the practice menu, or on the list of the sessions; return the exit status."""
    ready_screen()
    from tui.app import FullturnApp

    app = FullturnApp(sessions_folder(arguments), path, arguments.ascii, arguments.light)
    app.begin_with_practice = practice
    app.run()
    if app.refused is not None:
        raise app.refused
    return 0


def sessions_folder(arguments: argparse.Namespace) -> Path:
    """Return the folder of the sessions: the option, else the variable, else in the user's documents."""
    if arguments.folder:
        return cast("Path", arguments.folder).absolute()
    from sessions.default_folder import default_folder

    return default_folder()


def ready_screen() -> None:
    """Refuse without a terminal, and make the process ready for a screen: before numpy is imported."""
    # At the sizes of a bench further threads cost more than they bring, and the screen wants the other core.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    # What the screen draws on is standard error on POSIX and standard output on Windows.
    if not all(stream and stream.isatty() for stream in (sys.__stdin__, sys.__stdout__, sys.__stderr__)):
        raise Refused(
            "the screen needs a terminal",
            remedy="run it without redirecting, or use a command such as “fullturn solve FILE”",
        )
