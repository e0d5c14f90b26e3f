"""`fullturn selfcheck` as typed."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from sessions.selfcheck import record as record_module
from sessions.selfcheck.catalogue import all_checks
from sessions.selfcheck.check import Check
from tui.cli import main


def run(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    status = main(["selfcheck", *words])
    out, error = capsys.readouterr()
    return status, out, error


def with_wrong(monkeypatch: pytest.MonkeyPatch, *names: str) -> None:
    """Let the first expected value of these checks be wrong."""

    def wrong(check: Check) -> Check:
        label, value = next(iter(check.expected.items()))
        return replace(check, expected={**check.expected, label: value + 3 * check.tolerance + 1})

    changed = tuple(wrong(check) if check.name in names else check for check in all_checks())
    monkeypatch.setattr(record_module, "all_checks", lambda: changed)


def test_text_on_the_terminal(capsys: pytest.CaptureFixture[str]) -> None:
    status, out, error = run(capsys)
    lines = out.splitlines()
    assert (status, error) == (0, "")
    assert max(len(line) for line in lines) <= 80
    assert lines[0].startswith("Self-check of Fullturn ")
    assert lines[-1] == f"All {len(all_checks())} checks, 636 values, are within their tolerances."
    assert "numpy" in out
    assert "OFF" not in out
    assert len(lines) < 200
    for mark in ("[read] ", "[recomputed] ", "[memory] ", "[common practice] "):
        assert mark in out
    (line,) = [each for each in lines if "Grubbs, statistic of 8 masses" in each]
    assert line.split()[-4:] == ["2.46876460", "2.46876461", "5e-8", "ok"]


def test_json(capsys: pytest.CaptureFixture[str]) -> None:
    status, out, _ = run(capsys, "--json")
    made = json.loads(out)
    assert status == 0
    assert {"format": "fullturn selfcheck", "version": 1}.items() <= made.items()
    assert made["within_tolerance"] is True
    first = made["checks"][0]
    assert first["expected"] == [-3.2, 1.4, 0.6, 0.2, 1.0]
    assert first["obtained"] == pytest.approx(first["expected"])
    assert first["mark"] == "recomputed"
    assert "Montgomery" in first["source"]


@pytest.mark.parametrize("options", [(), ("--json",)])
def test_a_wrong_expected_value_makes_the_status_one(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, options: tuple[str, ...]
) -> None:
    with_wrong(monkeypatch, "arc seconds in a radian", "E_n against NMIJ")
    status, out, error = run(capsys, *options)
    assert (status, error) == (1, "")
    if options:
        made = json.loads(out)
        off = [check["name"] for check in made["checks"] if not check["within_tolerance"]]
        assert (made["within_tolerance"], made["checks_off"]) == (False, 2)
        assert off == ["E_n against NMIJ", "arc seconds in a radian"]
    else:
        assert out.count("OFF") == 2
        (line,) = [each for each in out.splitlines() if each.startswith("    KRISS")]
        assert line.split() == ["KRISS", "0.1503055", "−0.8496962", "5e-7", "OFF"]
        assert out.endswith(
            f"2 of {len(all_checks())} checks are off:\n"
            "  Comparison and decision: E_n against NMIJ\n"
            "  Angles and geometry: arc seconds in a radian\n"
            "Do not rely on this installation before that is explained.\n"
        )


def test_a_check_that_breaks_is_shown(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def breaks() -> float:
        raise OSError("no\x1b[31m room")

    broken = replace(all_checks()[-1], obtain=breaks)
    monkeypatch.setattr(record_module, "all_checks", lambda: (broken,))
    status, out, _ = run(capsys)
    assert status == 1
    assert "OSError: no" in out
    assert "\x1b" not in out
    assert "1 of 1 checks is off:" in out


def test_the_validation_record(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    path = tmp_path / "record.txt"
    status, out, _ = run(capsys, "-o", str(path))
    text = path.read_text(encoding="utf-8")
    assert status == 0
    assert out == f"{path}\nAll {len(all_checks())} checks, 636 values, are within their tolerances.\n"
    assert max(len(line) for line in text.splitlines()) <= 80
    assert text.startswith("Software validation record of Fullturn ")
    assert "ISO/IEC 17025:2017, clause 7.11.2" in text
    assert text.count("  ok\n") == 636
    assert "by solver.repeats.grubbs_critical" in text
    assert "Signature" in text


def test_a_record_with_a_line_off_is_written_and_says_so(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with_wrong(monkeypatch, "row effects, lower circle")
    status, out, _ = run(capsys, "-o", str(tmp_path / "record.json"))
    made = json.loads((tmp_path / "record.json").read_text(encoding="utf-8"))
    assert status == 1
    assert made["within_tolerance"] is False
    assert "row effects" in out


def test_both_outputs_hold_the_same(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    _, out, _ = run(capsys, "--json", "-o", str(tmp_path / "record.json"))
    assert json.loads(out) == json.loads((tmp_path / "record.json").read_text(encoding="utf-8"))


@pytest.mark.parametrize(
    ("name", "what"),
    [
        ("there.txt", "the file is there already"),
        ("record.pdf", "end the file name in .txt or .json"),
        ("record", "without an ending"),
        ("none/record.txt", "no such folder"),
    ],
)
def test_refusals(capsys: pytest.CaptureFixture[str], tmp_path: Path, name: str, what: str) -> None:
    (tmp_path / "there.txt").write_text("kept", encoding="utf-8")
    status, out, error = run(capsys, "-o", str(tmp_path / name))
    assert (status, out) == (2, "")
    assert what.lower() in error.lower()
    assert error.count("\n") == 1
    assert [each.read_text(encoding="utf-8") for each in tmp_path.iterdir()] == ["kept"]


def test_help_fits(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    with pytest.raises(SystemExit):
        main(["selfcheck", "--help"])
    out = capsys.readouterr().out
    assert max(len(line) for line in out.splitlines()) <= 80
    assert "fullturn selfcheck -o" in out


def test_a_terminal_without_its_signs(tmp_path: Path) -> None:
    """With ASCII alone the text stays legible and the JSON stays JSON."""
    environment = {**os.environ, "PYTHONIOENCODING": "ascii"}
    text, data = (
        subprocess.run(
            [sys.executable, "-m", "tui", "selfcheck", *options],
            env=environment,
            capture_output=True,
            check=True,
            encoding="ascii",
        ).stdout
        for options in ((), ("--json",))
    )
    assert "?" not in text
    assert json.loads(data)["within_tolerance"] is True
