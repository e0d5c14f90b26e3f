"""`fullturn report` and `fullturn correct` from the command line."""

from __future__ import annotations

import csv
import json
from dataclasses import replace
from pathlib import Path

import pytest

from sessions.demo import copy_demo
from tests.sessions.certified import certified, header
from tui.cli import main


@pytest.fixture
def finished(tmp_path: Path) -> Path:
    certified(tmp_path / "done.toml").close()
    return tmp_path / "done.toml"


@pytest.mark.parametrize(
    ("ending", "begins"), [(".pdf", b"%PDF-"), (".html", b"<!DOCTYPE html>"), (".csv", b"# ")]
)
def test_report(finished: Path, ending: str, begins: bytes, capsys: pytest.CaptureFixture[str]) -> None:
    out = finished.with_suffix(ending)
    before = finished.read_bytes()
    assert main(["report", str(finished), "-o", str(out), "--date", "2026-04-20"]) == 0
    assert out.read_bytes().startswith(begins)
    assert finished.read_bytes() == before
    shown = capsys.readouterr()
    assert shown.err == ""
    assert shown.out.startswith(str(out))
    assert "lower circle: conforms" in shown.out


def test_report_of_a_draft(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    demo = copy_demo(tmp_path)
    assert main(["report", str(demo), "-o", str(tmp_path / "out.html")]) == 1
    shown = capsys.readouterr().out
    assert "draft: 6 of 52 cells are not read yet" in shown
    assert "draft: not filled in: certificate number" in shown


def test_report_of_what_does_not_conform(tmp_path: Path) -> None:
    plan = header()
    strict = replace(plan, lower=replace(plan.lower, tolerance=0.02))
    certified(tmp_path / "a.toml", strict).close()
    assert main(["report", str(tmp_path / "a.toml"), "-o", str(tmp_path / "a.csv")]) == 1


def test_report_writes_over_nothing_unasked(finished: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = finished.with_suffix(".csv")
    out.write_text("mine", encoding="utf-8")
    assert main(["report", str(finished), "-o", str(out)]) == 2
    assert out.read_text(encoding="utf-8") == "mine"
    assert "--force" in capsys.readouterr().err
    assert main(["report", str(finished), "-o", str(out), "--force"]) == 0
    assert out.read_text(encoding="utf-8") != "mine"


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["-o", "x.doc"], ".pdf, .html or .csv"),
        ([], "-o"),
        (["-o", "x.pdf", "--date", "tomorrow"], "2026-03-05"),
        (["-o", "x.pdf", "--date", "2026-05-01"], "the date of issue is recorded as 2026-04-20"),
    ],
)
def test_report_refuses(
    finished: Path, arguments: list[str], words: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["report", str(finished), *arguments]) == 2
    shown = capsys.readouterr()
    assert words in shown.err
    assert shown.err.count("\n") == 1
    assert not Path("x.pdf").exists()


def test_report_date_of_issue(tmp_path: Path) -> None:
    demo = copy_demo(tmp_path)
    main(["report", str(demo), "-o", str(tmp_path / "a.csv"), "--date", "2026-05-01"])
    assert "# date of issue: 2026-05-01" in (tmp_path / "a.csv").read_text(encoding="utf-8")


def test_correct(finished: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["correct", str(finished), "--at", "210", "--from", "30"]) == 0
    last = capsys.readouterr().out.splitlines()[-1].split()
    assert last[:2] == ["210°", "180°"]
    assert last[2] in ("179°", "180°")
    assert main(["correct", str(finished), "--circle", "upper"]) == 0
    assert len(capsys.readouterr().out.splitlines()) == 4 + 12


def test_correct_json_and_csv_agree(finished: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = finished.with_suffix(".csv")
    assert main(["correct", str(finished), "--csv", str(out)]) == 0
    assert main(["correct", str(finished), "--csv", str(out)]) == 2
    capsys.readouterr()
    assert main(["correct", str(finished), "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    with out.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert found["format"] == "fullturn corrections"
    assert [line["error"] for line in found["corrections"]] == [float(row["error_arcsec"]) for row in rows]
    assert found["corrections"][0]["coverage_factor"] is None


def test_correct_says_what_is_not_determined(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    certified(tmp_path / "a.toml", header(12, offsets=(0, 6))).close()
    assert main(["correct", str(tmp_path / "a.toml"), "--at", "30"]) == 1
    assert "not determined" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["--at", "217"], "210° and 240°"),
        (["--at", "21,5"], "21.5"),
        (["--from", "5"], "0° and 30°"),
        (["--at", "1e999999999"], "is no number"),
        (["--circle", "middle"], "middle"),
    ],
)
def test_correct_refuses(
    finished: Path, arguments: list[str], words: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["correct", str(finished), *arguments]) == 2
    shown = capsys.readouterr()
    assert words in shown.err
    assert shown.out == ""


def test_corrections_from_flagged_readings_say_so(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["correct", str(copy_demo(tmp_path))]) == 1
    assert "2 flags stand" in capsys.readouterr().err
