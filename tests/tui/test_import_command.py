"""`fullturn import` and `fullturn export` as typed."""

from __future__ import annotations

from pathlib import Path

import pytest

from sessions.demo import copy_demo
from sessions.session import Session
from tui.cli import main

TABLE = "HT-04 against HT-11\nstep;offset 0;offset 1;offset 4\n" + "".join(
    f"{step};{step},1;-{step},25;7,5\n" for step in range(13)
)


@pytest.fixture
def table(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    path = tmp_path / "old.csv"
    path.write_text(TABLE, encoding="utf-8")
    return path


def run(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    status = main(list(words))
    out, error = capsys.readouterr()
    assert all(
        len(line) <= 80 for line in out.splitlines() if "SHA-256" not in line and "recorded" not in line
    )
    return status, out, error


def test_a_dry_run_says_what_was_understood_and_writes_nothing(
    table: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    status, out, error = run(capsys, "import", "old.csv", "--dry-run", "--positions", "12", "-o", "old.toml")
    assert (status, error) == (0, "")
    for words in (
        "UTF-8, cells parted by semicolon, decimal comma",
        "readings in B3:D15, title in row 1, headings in row 2, steps in column",
        "rows 3 to 15: steps 0 to 12, step 12 is the closing reading",
        "B: run 0 offset 0, C: run 1 offset 1, D: run 2 offset 4",
        "B3 = 0.1 (run 0, step 0)",
        "D15 = 7.5 (run 2, step 12)",
        "Nothing was written",
    ):
        assert words in out
    assert [path.name for path in table.parent.iterdir()] == ["old.csv"]


def test_signs_and_words_may_be_typed_either_way(table: Path, capsys: pytest.CaptureFixture[str]) -> None:
    words = ["--delimiter", ";", "--decimal", ",", "--arrangement", "face by face", "--direction", "forward"]
    status, out, _ = run(capsys, "import", "old.csv", "--dry-run", "--positions", "12", *words)
    assert status == 0
    assert "face by face" in out
    words = ["--delimiter", "semicolon", "--decimal", "comma", "--arrangement", "face-by-face"]
    assert run(capsys, "import", "old.csv", "--dry-run", "--positions", "12", *words)[1] == out


def test_every_field_of_the_session_can_be_said(table: Path, capsys: pytest.CaptureFixture[str]) -> None:
    words = (
        "--positions 12 --date 2024-05-17 --operator A.Example --lower HT-04 --lower-serial 17 --upper HT-11"
    )
    more = "--upper-serial 5 --unit urad --resolution 0.01 --polarity -1 --arrangement face-by-face --drift linear"
    sets = [
        "--set",
        "lower.tolerance=0.25",
        "--set",
        "upper.kind=polygon",
        "--set",
        "instrument.accepted_sd = 0.3",
    ]
    status, out, _ = run(capsys, "import", "old.csv", "-o", "new.toml", *words.split(), *more.split(), *sets)
    assert status == 0
    assert "39 readings recorded in new.toml." in out
    with Session.read(table.parent / "new.toml") as session:
        header = session.header
        assert header.title == "HT-04 against HT-11"
        assert (header.lower.name, header.lower.serial, header.lower.tolerance) == ("HT-04", "17", 0.25)
        assert (header.upper and header.upper.kind) == "polygon"
        assert (header.instrument.unit, header.instrument.polarity) == ("urad", -1)
        assert (header.instrument.resolution, header.instrument.accepted_sd) == (0.01, 0.3)
        assert (header.design.arrangement, header.design.drift) == ("face by face", "linear")
        assert header.created is not None
        assert header.created.isoformat().startswith("2024-05-17T12:00:00")
        assert session.matrix.accepted == 39


def test_export_and_import_give_the_same_session(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    demo = copy_demo(tmp_path)
    status, out, _ = run(
        capsys, "export", demo.name, "-o", "a.csv", "--delimiter", "semicolon", "--decimal", "comma"
    )
    assert status == 0
    assert "struck one is left out" in out
    assert run(capsys, "import", "a.csv", "-o", "b.toml")[0] == 0
    assert (
        run(capsys, "export", "b.toml", "-o", "b.csv", "--delimiter", "semicolon", "--decimal", "comma")[0]
        == 0
    )
    assert (tmp_path / "a.csv").read_bytes() == (tmp_path / "b.csv").read_bytes()
    status, out, _ = run(capsys, "export", demo.name, "-o", "all.csv", "--long")
    assert (tmp_path / "all.csv").read_text().count("\n") == 94
    assert "93 readings" in out


@pytest.mark.parametrize("how", [[], ["--long"]])
def test_a_split_that_a_table_cannot_hold_is_said(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], how: list[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    with Session.open(copy_demo(tmp_path)) as session:
        session.split(1, 5, "mirror knocked")
    _, out, _ = run(capsys, "export", "demo.toml", "-o", "a.csv", *how)
    assert "The split of run 1 before step 5 is left out" in out


@pytest.mark.parametrize(
    ("words", "what"),
    [
        ("import old.csv", "Say -o FILE, or --dry-run first"),
        ("import none.csv --dry-run", "none.csv: there is no such file"),
        ("import old.csv --dry-run", "--positions 12, or --positions 13"),
        ("import old.csv -o old.csv --positions 12", "the file is there already"),
        ("import old.csv --dry-run --repeats two", "no number of readings"),
        ("import old.csv --dry-run --repeats 2 lines", "Say rows or columns"),
        ("import old.csv --dry-run --positions 12 --set lower.tolerance", "sets no field"),
        ("import old.csv --dry-run --positions 12 --set design.offsets=[1]", "comes from the table"),
        ("import old.csv --dry-run --positions 12 --set lower.nme=x", "unknown key"),
        ("import old.csv --dry-run --positions 12 --set lower.kind=cube", "none of"),
        ("import old.csv --dry-run --date yesterday", "is no date"),
        ("import old.csv --dry-run --delimiter pipe", "use comma or semicolon or tab"),
        ("import old.csv --dry-run --positions 12 --decimal point", "B3: “0,1” has a comma"),
        ("export none.toml -o x.csv", "no such file"),
        ("export none.toml", "-o"),
    ],
)
def test_refusals(table: Path, capsys: pytest.CaptureFixture[str], words: str, what: str) -> None:
    status, out, error = run(capsys, *words.split())
    assert (status, out) == (2, "")
    assert what in error
    assert error.count("\n") == 1
    assert [path.name for path in table.parent.iterdir()] == ["old.csv"]
