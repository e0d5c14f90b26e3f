"""What names, reasons and other programs' files hold reaches neither the terminal as an escape nor a page as markup."""

from __future__ import annotations

import csv
import os
import random
import re
import subprocess
import sys
from pathlib import Path

import pypdf
import pytest
from rich.segment import Segment
from textual.color import Color

from sessions.design import Design
from sessions.equipment import Circle, Instrument
from sessions.header import Header
from sessions.session import Session
from sessions.spreadsheet import no_formula, no_formulas
from tests.sessions.kit import Clock, QuickDisk
from tui.harmless import Harmless
from tui.streams import STEERING, harmless

#: Markup of the screen's library, of pages, of formulas, and marks that turn letters round.
BAD = "=1+[red]x[/] [@click=app.bell]y[/] <b>&amp;<para>,=HYPERLINK(1) \u202ez\u2066 [bold"
SHOWN = "[red]x[/] [@click"
ESCAPES = "\x1b]2;owned\x07\x1b[5n\x9b5n\x85\r\x08\u202e\u2066[red]u"


def bad_session(path: Path) -> Path:
    """Write a session all of whose texts are bad."""
    header = Header(
        Design(4, (0, 1, 2, 3)),
        Circle(name=BAD, serial=BAD, tolerance=1.0),
        Circle(name=BAD, serial=BAD),
        Instrument(kind=BAD, accepted_sd=0.05),
        title=BAD,
        operator=BAD,
    )
    chance = random.Random(1)
    with Session.create(path, header, clock=Clock(), disk=QuickDisk()) as session:
        for run in range(4):
            for step in range(5):
                session.take(run, step, round(chance.gauss(0, 0.05), 2))
        session.take(1, 2, 9.0)
        session.strike(3, BAD)
        session.keep(4, BAD)
        session.note(BAD)
        session.conditions(20.0, remark=BAD)
    return path


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("bad")
    stem = ESCAPES if os.name != "nt" else "[red]u"
    bad_session(folder / f"{stem}.toml")
    bad_session(folder / f"2{stem}.toml")
    (folder / f"no{stem}.toml").write_bytes(b"x")
    label = f'"step (4 positions)","run 0 offset 0 {ESCAPES}",{BAD.replace(",", "")}\n'
    (folder / f"{stem}.csv").write_text(label + "0,1,2\n1,2,x\x1b[5n\n", encoding="utf-8", newline="")
    return folder


def clean(written: bytes) -> str:
    """Return what a command wrote, having found nothing in it that steers a terminal."""
    text = written.decode("utf-8")
    assert STEERING.findall(text.replace("\r\n", "\n") if os.name == "nt" else text) == []
    return text


def run(*arguments: str | Path) -> tuple[int, str]:
    done = subprocess.run(
        [sys.executable, "-m", "tui", *map(str, arguments)],
        capture_output=True,
        env=os.environ | {"PYTHONUTF8": "1"},
        cwd=Path(__file__).parents[2],
        check=False,
    )
    text = clean(done.stdout) + clean(done.stderr)
    assert "fault of the program" not in text
    return done.returncode, text


def named(folder: Path, start: str, ending: str = ".toml") -> Path:
    names = [path for path in folder.iterdir() if path.suffix == ending and not path.name.startswith(".")]
    return next(path for path in names if path.name.startswith(start))


def test_commands(folder: Path) -> None:
    good, second, broken = (
        named(folder, start) for start in (ESCAPES[0] if os.name != "nt" else "[", "2", "no")
    )
    table = next(path for path in folder.iterdir() if path.suffix == ".csv")
    out = folder / "out"
    out.mkdir()
    status, text = run("solve", good)
    assert status == 1
    assert SHOWN in text
    run("solve", good, "--json")
    status, text = run("solve", broken)
    assert status == 2
    assert text.count("\n") == 1
    run("compare", good, second)
    run("analyse", good)
    assert run("export", good, "--long", "-o", out / f"{good.stem}.csv")[0] == 0
    assert run("import", table)[0] == 2
    assert run("import", table, "-o", out / good.name)[0] == 2
    for word in (f"so{ESCAPES}lve", f"--{ESCAPES}", "plan"):
        assert run(word, f"--{ESCAPES}")[0] == 2
    for ending in (".html", ".pdf", ".csv"):
        assert run("report", good, "-o", out / f"{good.stem}{ending}", "--force")[0] == 1


def test_certificate_holds_no_markup_of_names(tmp_path: Path) -> None:
    path = bad_session(tmp_path / "s.toml")
    for ending in ("html", "pdf", "csv"):
        run("report", path, "-o", tmp_path / f"c.{ending}")
    page = (tmp_path / "c.html").read_text(encoding="utf-8")
    assert "<b>&amp;<para>" not in page
    assert "&lt;b&gt;&amp;amp;&lt;para&gt;" in page
    drawn = "".join(each.extract_text() for each in pypdf.PdfReader(tmp_path / "c.pdf").pages)
    assert "<b>&amp;<para>" in re.sub(r"\s", "", drawn)
    with (tmp_path / "c.csv").open(encoding="utf-8", newline="") as file:
        cells = [cell for row in csv.reader(file) for cell in row]
    assert any("HYPERLINK" in cell for cell in cells)
    assert not any(cell.lstrip().startswith(("=", "@")) for cell in cells)


def test_name_of_many_pages_is_refused_in_the_pdf(tmp_path: Path) -> None:
    header = Header(Design(4, (0, 1)), Circle(name="x" * 20_000))
    Session.create(tmp_path / "s.toml", header, clock=Clock(), disk=QuickDisk()).close()
    status, text = run("report", tmp_path / "s.toml", "-o", tmp_path / "c.pdf")
    assert status == 2
    assert "too long for a page" in text
    assert not (tmp_path / "c.pdf").exists()
    assert run("report", tmp_path / "s.toml", "-o", tmp_path / "c.html")[0] == 1


def test_exported_reasons_are_no_formulas(tmp_path: Path) -> None:
    run("export", bad_session(tmp_path / "s.toml"), "--long", "-o", tmp_path / "s.csv")
    with (tmp_path / "s.csv").open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.reader(file))
    assert rows[3][-1] == f"'{BAD}"
    assert not any(cell.startswith(("=", "@")) for row in rows for cell in row)


@pytest.mark.parametrize("text", ["=1", "@SUM(1)", "+cmd", "-cmd", "\t=1", "-"])
def test_what_begins_a_formula_stands_behind_an_apostrophe(text: str) -> None:
    assert no_formula(text) == f"'{text}"
    assert no_formulas(f"# a, {text}") == (f"# a, '{text}" if text[0] != "\t" else "# a, \t'=1")


@pytest.mark.parametrize("text", ["", "door", "-0.5", "+1,5", "1=1", "a-b", "'=1"])
def test_other_texts_stay(text: str) -> None:
    assert no_formula(text) == text
    assert no_formulas(f"# a, {text}") == f"# a, {text}"


def test_lines_painted_hold_nothing_that_steers() -> None:
    segments = [Segment(f"a{ESCAPES}b"), Segment("°")]
    (found, other) = Harmless().apply(segments, Color(0, 0, 0))
    assert found.text == "a]2;owned[5n5n[red]ub"
    assert found.cell_length == segments[0].cell_length
    assert other.text == "°"


def test_what_is_written_out_shows_where_a_sign_was() -> None:
    assert harmless("a\x1b[5n\tb\nc\u202e") == "a·[5n\tb\nc·"


@pytest.mark.skipif(os.name == "nt", reason="Windows has no pseudo terminals of this kind, nor such names")
def test_screens(folder: Path) -> None:
    from tests.tui.terminal import Terminal

    path = named(folder, ESCAPES[0])
    with Terminal([str(path)], folder, 120, 36) as terminal:
        terminal.until("Resumed")
        terminal.until(SHOWN)
        for key, there in {"l": "Record", "c": "Certificate", "e": "next offset", "x": "Suspects"}.items():
            terminal.type(key)
            terminal.until(there)
            terminal.settle(0.1)
            terminal.type("\x1b")
            terminal.until("Undo")
            terminal.settle(0.1)
        terminal.type("\x1b")
        terminal.until("cannot be opened")
        terminal.type("c")
        terminal.until("Comparing from")
        terminal.type("\x1b[Bc")
        terminal.until(" against ")
        terminal.settle(0.2)
        # The lines of the refusal break within the name.
        terminal.until("[@click=app.bell]")
        assert terminal.painted.strange == []
