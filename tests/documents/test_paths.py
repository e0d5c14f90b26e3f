"""What the documents name is there: files, links, commands, sections."""

from __future__ import annotations

import re
from fnmatch import fnmatch
from pathlib import PurePosixPath
from urllib.parse import unquote

import pytest

from tests.documents.texts import DEVELOPERS, README, ROOT, section
from tui import cli

FILES = [
    path.relative_to(ROOT).as_posix()
    for top in ("solver", "sessions", "tui", "tests")
    for path in (ROOT / top).rglob("*")
    if "__pycache__" not in path.parts
]
NAMED = re.compile(r"`([\w*./]+(?:\.(?:py|toml|csv)|/)|(?:solver|sessions|tui|tests)/[\w*/]+|[\w*]+\*\.py)`")


def is_there(name: str) -> bool:
    """Tell whether a file or folder is there; a name without its folder may lie in any."""
    wanted = name.rstrip("/")
    return any(fnmatch(path, wanted) or fnmatch(path, f"*/{wanted}") for path in FILES) or (
        (ROOT / wanted).exists() and PurePosixPath(wanted).name == wanted
    )


@pytest.mark.parametrize("text", [README, DEVELOPERS], ids=["README", "DEVELOPERS"])
def test_the_files_named_are_there(text: str) -> None:
    named = NAMED.findall(text)
    assert len(named) > 3
    assert [name for name in named if not is_there(name)] == []


@pytest.mark.parametrize("text", [README, DEVELOPERS], ids=["README", "DEVELOPERS"])
def test_links_lead_somewhere(text: str) -> None:
    links = re.findall(r"\]\(([^)#]+)\)", text)
    assert [link for link in links if not (ROOT / unquote(link)).is_file()] == []


def test_the_commands_of_the_readme_are_those_of_the_program(capsys: pytest.CaptureFixture[str]) -> None:
    listed = set(re.findall(r"^\| `fullturn (\w+)", section(README, "Commands"), re.M)) - {"FILE"}
    with pytest.raises(SystemExit):
        cli.main(["--help"])
    shown = capsys.readouterr().out.partition("commands:")[2].partition("examples:")[0]
    known = set(re.findall(r"^ {4}(\w+)", shown, re.M))
    assert listed == known - {"open", "demo"}  # these two are spoken of elsewhere


@pytest.mark.parametrize(
    "line", re.findall(r"^\| `fullturn (.*?)`", section(README, "Commands"), re.M), ids=lambda line: line
)
def test_every_option_of_the_commands_is_known(line: str, capsys: pytest.CaptureFixture[str]) -> None:
    command, *words = line.replace("[", "").replace("]", "").split()
    if command == "FILE":
        return
    with pytest.raises(SystemExit):
        cli.main([command, "--help"])
    shown = capsys.readouterr().out
    assert [word for word in words if word.startswith("-") and word not in shown] == []
