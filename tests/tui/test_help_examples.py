"""The examples that each command's help shows run as they are written."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest

from sessions.demo import copy_demo
from tui import cli
from tui.app import FullturnApp

COMMANDS = (
    "",
    "analyse",
    "compare",
    "correct",
    "export",
    "import",
    "plan",
    "practice",
    "report",
    "selfcheck",
    "solve",
)


def examples(command: str, capsys: pytest.CaptureFixture[str]) -> list[list[str]]:
    """Return the arguments of the examples in the help of a command, "" being the program itself."""
    with pytest.raises(SystemExit):
        cli.main([*([command] if command else []), "--help"])
    shown = capsys.readouterr().out.partition("examples:\n")[2].partition("\n\n")[0]
    # What an example is for stands behind it, two blanks apart; where its output goes is the shell's business.
    lines = [line.strip().partition("  ")[0].partition(" > ")[0] for line in shown.splitlines()]
    return [shlex.split(line)[1:] for line in lines]


def prepare(folder: Path) -> None:
    """Put the files there that the examples name: copies of the demo, the upper circle another each time, and a CSV."""
    folder.mkdir()
    text = re.sub("(?m)^check = .*\n", "", copy_demo(folder / "demo").read_text(encoding="utf-8"))
    for number, name in enumerate(("table-04", "ht04-2024", "ht04-2025", "ht04-2026", "old", "new")):
        other = text.replace('"1102"', f'"11{number}"')
        (folder / f"{name}.toml").write_text(other, encoding="utf-8")
    assert cli.main(["export", str(folder / "table-04.toml"), "-o", str(folder / "old.csv")]) == 0


@pytest.mark.parametrize("command", COMMANDS)
def test_the_examples_run_as_written(
    command: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("FULLTURN_FOLDER", str(tmp_path / "sessions"))
    monkeypatch.setattr(cli, "ready_screen", lambda: None)
    monkeypatch.setattr(FullturnApp, "run", lambda self: None)
    found = examples(command, capsys)
    assert found
    folder = tmp_path / "bench"
    prepare(folder)
    monkeypatch.chdir(folder)
    for arguments in found:
        if command == "import" and "-o" in arguments:
            (folder / arguments[arguments.index("-o") + 1]).unlink()
        capsys.readouterr()
        assert cli.main(arguments) in (0, 1), (arguments, capsys.readouterr().err)
