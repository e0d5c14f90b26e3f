"""`fullturn compare` as typed."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from sessions.design import Design
from sessions.equipment import Circle, Instrument
from tests.sessions.simulated import DAY, HT04, errors, header, record
from tui.cli import main

YEAR = timedelta(days=365)
OTHER = Circle("index table", "HT-20", "3")
A, B, C = errors(12, 1), errors(12, 2), errors(12, 3)
COMPLETE, PARTIAL = Design(12, tuple(range(12))), Design(12, (0, 1, 4))


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    record(tmp_path / "old.toml", header(COMPLETE), A, B, 0.05, 21)
    record(tmp_path / "same.toml", header(PARTIAL, OTHER, HT04), C, A, 0.05, 22, DAY + YEAR)
    record(
        tmp_path / "turned.toml", header(COMPLETE, upper=OTHER), np.roll(A, -3), C, 0.05, 23, DAY + 2 * YEAR
    )
    return tmp_path


def run(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    status = main(["compare", *words])
    out, error = capsys.readouterr()
    assert all(len(line) <= 80 for line in out.splitlines() if not line.startswith("{"))
    return status, out, error


def table(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, dict[str, Any]]:
    status = main(["compare", *words, "--json"])
    found: dict[str, Any] = json.loads(capsys.readouterr().out)
    return status, found


def test_an_unchanged_circle(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status, found = table(capsys, "old.toml", "same.toml")
    pair = found["comparisons"][0]
    assert (found["format"], found["version"], found["positions"]) == ("fullturn comparison", 1, 12)
    assert found["circle"] == {"kind": "index table", "name": "HT-04", "serial": "17"}
    assert [session["circle"] for session in found["sessions"]] == ["lower", "upper"]
    assert pair["degrees_of_freedom"] == 11
    assert not pair["significant"]
    assert status == int(bool(pair["beyond"])) == int(found["attention"])
    u = [found["sessions"][k]["expanded_uncertainty"][5] for k in (0, 1)]
    assert pair["e_n"][5] == pytest.approx(pair["difference"][5] / np.hypot(*u))
    assert found["agreement"] is None
    assert found["drift"]["rest"] is None
    _, text, error = run(capsys, "old.toml", "same.toml")
    assert error == ""
    assert "index table HT-04 17: 2 sessions, 12 positions compared." in text
    assert "no change seen" in text
    assert "Accepted standard deviation proposed" in text


def test_a_turned_circle_is_offered_and_applied_when_said(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    status, text, _ = run(capsys, "old.toml", "turned.toml")
    assert status == 1
    assert "position 3 became 0 in session 2" in text
    assert "say --turned 3." in text
    assert "not shown until it is settled" in text
    assert "<" in text
    _, found = table(capsys, "old.toml", "turned.toml", "--turned", "3")
    assert found["sessions"][1]["turned"] == 3
    assert found["comparisons"][0]["turn_offered"] is None
    assert not found["comparisons"][0]["significant"]
    _, text, _ = run(capsys, "old.toml", "turned.toml", "--turned", "3")
    assert "position 3 became 0, as said" in text


def test_one_position_that_alone_changed_is_named(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    worn = np.repeat(A, 3)
    fine = Design(36, (0, 1, 3, 7, 12, 20))
    record(folder / "fine.toml", header(fine), worn, errors(36, 8), 0.05, 28)
    few = A.copy()
    few[4] += 0.4
    record(folder / "worn.toml", header(COMPLETE, upper=OTHER), few, C, 0.05, 29, DAY + YEAR)
    _, text, _ = run(capsys, "fine.toml", "worn.toml", "--circle", "lower")
    said = " ".join(text.split())
    assert "If position 12 alone changed: by +0." in said
    assert "against all the others, which shift with the mean only. Without it, chi-squared" in said
    assert "no change seen." in said
    _, found = table(capsys, "fine.toml", "worn.toml", "--circle", "lower")
    one = found["comparisons"][0]["one_changed"]
    assert one["position"] == 12
    assert one["difference"] == pytest.approx(0.4, abs=one["expanded_uncertainty"])
    _, text, _ = run(capsys, "old.toml", "same.toml")
    assert "alone changed" not in text


def test_three_sessions(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    _, text, _ = run(capsys, "old.toml", "same.toml", "turned.toml")
    assert "say --turned 0,3." in text
    _, text, _ = run(capsys, "old.toml", "same.toml", "turned.toml", "--turned", "0,3")
    assert "Session 3 minus session 1" in text
    assert "All 3 sessions: chi-squared" in text
    assert "The sessions lie on straight lines" in text
    assert "Bartlett" in text


def test_without_uncertainty(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    bare = Design(12, (0, 1), closing=False)
    record(folder / "bare.toml", header(bare, upper=OTHER), A, C, 0.05, 24, DAY + YEAR)
    status, text, _ = run(capsys, "old.toml", "bare.toml")
    assert status == 1
    assert "E_n is not determined" in text
    assert "nan" not in text
    record(
        folder / "known.toml",
        header(bare, upper=OTHER, instrument=Instrument(accepted_sd=0.05)),
        A,
        C,
        0.05,
        24,
        DAY + YEAR,
    )
    _, text, _ = run(capsys, "bare.toml", "known.toml", "--circle", "lower")
    assert "no session has degrees of freedom" in text
    assert "known" in text


def test_unlike_standard_deviations_are_said_to_be_so_once(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    record(folder / "four.toml", header(replace(COMPLETE, repeats=4), upper=OTHER), A, C, 0.1, 27, DAY + YEAR)
    _, text, _ = run(capsys, "old.toml", "four.toml")
    said = " ".join(text.split())
    assert (
        "No accepted standard deviation is proposed: the sessions differ in the readings to a cell, so"
        in said
    )
    assert said.count("not of the same thing") == 1
    assert "the sessions agree" not in said
    assert "limits by the other sessions" not in said


def test_a_choice_is_asked_for_with_the_option(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for name, seed in (("first", 25), ("second", 26)):
        record(folder / f"{name}.toml", header(PARTIAL, Circle(), Circle()), A, B, 0.05, seed, DAY + YEAR)
    _, _, error = run(capsys, "first.toml", "second.toml")
    assert (
        "Choose with --circle lower or --circle upper, or choose one for each session, as --circle lower,u"
        in error
    )
    assert run(capsys, "first.toml", "second.toml", "--circle", "upper,upper")[0] in (0, 1)
    _, _, error = run(capsys, "old.toml", "first.toml", "--circle", "lower")
    assert (
        "If it is the same one all the same, choose one for each session, as --circle lower,upper." in error
    )


@pytest.mark.parametrize(
    ("words", "what"),
    [
        (["old.toml", "old.toml"], "stands twice"),
        (["old.toml", "missing.toml"], "no such file"),
        (["old.toml", "same.toml", "--circle", "middle"], "use lower or upper"),
        (["old.toml", "same.toml", "--circle", "lower,lower,lower"], "3 circles are chosen"),
        (["old.toml", "same.toml", "--turned", "x"], "is no turn"),
        (["old.toml"], "NEW"),
    ],
)
def test_refusals(folder: Path, capsys: pytest.CaptureFixture[str], words: list[str], what: str) -> None:
    status, out, error = run(capsys, *words)
    assert (status, out) == (2, "")
    assert what in error
    assert error.count("\n") == 1
