"""The command line: exit statuses, one-line refusals, and what it imports."""

from __future__ import annotations

import io
import os
import subprocess
import sys
import types
from collections.abc import Callable
from importlib.metadata import version
from pathlib import Path

import pytest

from solver.refused import Refused
from tui import cli, commands
from tui.streams import in_ascii, make_safe
from tui.widgets.marks import ASCII, UNICODE, Tone

COMMAND = [sys.executable, "-m", "tui"]


def run(*arguments: str, **environment: str) -> subprocess.CompletedProcess[str]:
    """Run the program as a user does, its output in a pipe."""
    return subprocess.run(
        [*COMMAND, *arguments],
        capture_output=True,
        stdin=subprocess.DEVNULL,
        encoding="utf-8",
        env=os.environ | {"PYTHONUTF8": "1"} | environment,
        cwd=Path(__file__).parents[2],
        check=False,
    )


def pretend(monkeypatch: pytest.MonkeyPatch, does: Callable[[], int]) -> None:
    """Let there be a command "pretend" that does something."""

    def add_parser(subparsers: commands.Subparsers) -> None:
        subparsers.add_parser("pretend").set_defaults(run=lambda _: does())

    module = types.SimpleNamespace(add_parser=add_parser)
    monkeypatch.setattr(commands, "names", lambda: ("pretend",))
    monkeypatch.setattr(commands, "load", lambda _: module)


def test_version() -> None:
    done = run("--version")
    assert (done.returncode, done.stdout, done.stderr) == (0, f"fullturn {version('fullturn')}\n", "")


@pytest.mark.parametrize("arguments", [["--version"], ["solve", "nowhere.toml"]])
def test_what_draws_no_screen_imports_no_screen(arguments: list[str]) -> None:
    code = (
        "import sys; from tui.cli import main; status = main(sys.argv[1:]); "
        "print(sorted({'textual', 'plotext', 'rich'} & set(sys.modules)))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, *arguments], capture_output=True, text=True, check=False
    )
    assert done.stdout.splitlines()[-1] == "[]", done.stderr


def test_the_first_screen_waits_for_no_numbers() -> None:
    code = "import sys, tui.app; print(sorted({'numpy', 'scipy', 'plotext'} & set(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.stdout == "[]\n", done.stderr


def test_help_lists_every_command_and_each_has_an_example() -> None:
    listed = run("--help")
    assert listed.returncode == 0
    for name in ("open", "demo", *commands.names()):
        assert f"\n    {name} " in listed.stdout
        own = run(name, "--help")
        assert own.returncode == 0
        assert f"\n  fullturn {'' if name == 'open' else name}" in own.stdout.partition("example")[2]


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["nowhere.toml"], "nowhere.toml: there is no such session"),
        (["sovle", "x.toml", "--json"], "fullturn solve"),
        (["--colour"], "fullturn --help"),
        (["solve"], "fullturn solve --help"),
        (["demo", "twice"], "twice"),
        ([], "needs a terminal"),
        (["demo"], "needs a terminal"),
        (["--", "-odd"], "-odd: there is no such session"),
    ],
)
def test_what_cannot_be_done_is_refused_in_one_line(arguments: list[str], said: str) -> None:
    done = run(*arguments)
    assert done.returncode == 2
    assert done.stdout == ""
    assert done.stderr.count("\n") == 1
    assert done.stderr.startswith("fullturn: ")
    assert said in done.stderr


def test_a_demo_without_a_terminal_leaves_nothing_behind(tmp_path: Path) -> None:
    run("demo", FULLTURN_FOLDER=str(tmp_path))
    assert list(tmp_path.iterdir()) == []


@pytest.fixture
def screens(monkeypatch: pytest.MonkeyPatch) -> list[tuple[Path, Path | None, bool, bool]]:
    """The screens that were begun, instead of drawing them: folder, file, ASCII only, light."""
    begun: list[tuple[Path, Path | None, bool, bool]] = []

    class App:
        refused: Refused | None = None

        def __init__(self, *arguments: object) -> None:
            begun.append(arguments)  # type: ignore[arg-type]

        def run(self) -> None: ...

    monkeypatch.setattr("tui.app.FullturnApp", App)
    monkeypatch.setattr(cli, "ready_screen", lambda: None)
    return begun


def test_where_the_sessions_are(
    screens: list[tuple[Path, Path | None, bool, bool]], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("FULLTURN_FOLDER", raising=False)
    assert cli.main([]) == 0
    monkeypatch.setenv("FULLTURN_FOLDER", str(tmp_path / "a"))
    assert cli.main([]) == 0
    assert cli.main(["--folder", str(tmp_path / "b")]) == 0
    assert cli.main([str(tmp_path)]) == 0
    folders = [folder for folder, *_ in screens]
    assert folders[0].name == "Fullturn"
    assert folders[1:] == [tmp_path / "a", tmp_path / "b", tmp_path]


def test_options_stand_before_or_after(
    screens: list[tuple[Path, Path | None, bool, bool]], tmp_path: Path
) -> None:
    file = tmp_path / "a.toml"
    file.touch()
    cli.main([str(file), "--ascii", "--folder", str(tmp_path)])
    cli.main(["--ascii", "--folder", str(tmp_path), str(file)])
    cli.main(["--light", "demo", "--folder", str(tmp_path)])
    assert screens == [
        (tmp_path, file, True, False),
        (tmp_path, file, True, False),
        (tmp_path, tmp_path / "demo.toml", False, True),
    ]


def test_a_file_may_be_called_like_a_command(
    screens: list[tuple[Path, Path | None, bool, bool]], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    for name in ("demo", "-odd"):
        Path(name).touch()
    cli.main(["./demo"])
    cli.main(["--", "-odd"])
    assert [path for _, path, *_ in screens] == [Path("demo"), Path("-odd")]


def test_why_the_screen_ended_is_said(
    screens: list[object], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("tui.app.FullturnApp.refused", Refused("it is damaged", where="a.toml, line 3"))
    assert cli.main([]) == 2
    assert capsys.readouterr().err == "fullturn: a.toml, line 3: it is damaged.\n"


@pytest.mark.parametrize("status", [0, 1])
def test_the_status_is_that_of_the_command(status: int, monkeypatch: pytest.MonkeyPatch) -> None:
    pretend(monkeypatch, lambda: status)
    assert cli.main(["pretend"]) == status


def test_an_error_of_the_system_is_refused(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def fails() -> int:
        raise PermissionError(13, "Permission denied", "locked.toml")

    pretend(monkeypatch, fails)
    assert cli.main(["pretend"]) == 2
    assert capsys.readouterr().err.startswith("fullturn: locked.toml: permission denied. ")


def test_a_fault_is_kept_in_a_file_and_said_in_one_line(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    def fails() -> int:
        raise ZeroDivisionError("a\nb")

    monkeypatch.setattr("platformdirs.user_log_path", lambda *_, **__: tmp_path / "log")
    pretend(monkeypatch, fails)
    assert cli.main(["pretend"]) == 2
    said = capsys.readouterr().err
    assert said.count("\n") == 1
    assert "ZeroDivisionError (a b)" in said
    assert "Traceback" not in said
    assert "in fails" in (tmp_path / "log" / "faults.txt").read_text(encoding="utf-8")


def test_an_interrupt_ends_quietly(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def interrupted() -> int:
        raise KeyboardInterrupt

    pretend(monkeypatch, interrupted)
    assert cli.main(["pretend"]) == 130
    assert capsys.readouterr() == ("", "")


@pytest.mark.skipif(sys.platform == "win32", reason="pipes of POSIX")
def test_a_reader_that_goes_away_is_no_error() -> None:
    code = (
        "import sys, types; from tui import cli, commands\n"
        "def run(_):\n    for _ in range(100000): sys.stdout.write('line\\n')\n    return 1\n"
        "module = types.SimpleNamespace(add_parser=lambda s: s.add_parser('pretend').set_defaults(run=run))\n"
        "commands.names = lambda: ('pretend',); commands.load = lambda _: module\n"
        "sys.exit(cli.main(['pretend']))"
    )
    child = subprocess.Popen(
        [sys.executable, "-c", code], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    )
    assert child.stdout is not None
    assert child.stderr is not None
    child.stdout.readline()
    child.stdout.close()
    assert (child.stderr.read(), child.wait()) == ("", 0)


@pytest.mark.parametrize(
    ("encoding", "shown"),
    [("utf-8", "0.1″ ± 30° “x” ü"), ("cp1252", '0.1" ± 30° “x” ü'), ("ascii", '0.1" +/- 30 deg "x" ?')],
)
def test_no_sign_is_too_much_for_an_encoding(
    encoding: str, shown: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    bytes_ = io.BytesIO()
    monkeypatch.setattr(sys, "stdout", io.TextIOWrapper(bytes_, encoding=encoding))
    make_safe()
    sys.stdout.write("0.1″ ± 30° “x” ü")
    sys.stdout.flush()
    assert bytes_.getvalue().decode(encoding) == shown


def test_plain_text_is_ascii() -> None:
    assert in_ascii("β = −0.5 µrad … ok") == "beta = -0.5 urad ... ok"
    assert in_ascii("温").isascii()


def test_signs_that_say_something_are_written_out() -> None:
    """A strong suspect must not become an ordinary one, nor a bar a row of question marks."""
    for tone in (Tone.SUSPECT, Tone.STRONG_SUSPECT, Tone.STRUCK, Tone.KEPT):
        assert in_ascii(UNICODE.mark(tone)) == ASCII.mark(tone)
    assert in_ascii("██╎░ ν = ∞, s 1 → 2 µm²") == "##|- nu = inf, s 1 -> 2 um^2"


@pytest.mark.parametrize(
    "arguments", [["{}"], ["solve", "{}"], ["report", "{}", "-o", "a.pdf"], ["--folder", "{}", "demo"]]
)
def test_a_home_folder_that_is_not_there_is_refused(
    arguments: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    path = "~nobody-of-this-name/a.toml"
    assert cli.main([argument.format(path) for argument in arguments]) == 2
    said = capsys.readouterr().err
    assert "there is no home folder “~nobody-of-this-name”" in said
    assert said.count("\n") == 1
