"""`fullturn analyse` from the command line."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from sessions.budget import Budget
from sessions.budget import record as record_budget
from sessions.design import Design
from sessions.session import Session
from solver.budget import Line
from solver.effects import Effect
from tests.sessions.simulated import errors, header, record
from tui.cli import main


@pytest.fixture
def file(tmp_path: Path) -> Path:
    at = 2 * np.pi * np.arange(12) / 12
    lower = errors(12, 1, 0.1) + 2.0 * np.cos(at - np.radians(60))
    return record(tmp_path / "a.toml", header(Design(12, (0, 1, 4))), lower, errors(12, 2), 0.05, 3)


def test_the_text_keeps_to_80_columns_and_says_what_matters(
    file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["analyse", str(file), "--remove", "1,2", "--teeth", "8", "--diameter", "100"]) == 0
    said = capsys.readouterr().out
    assert max(map(len, said.splitlines())) <= 80
    first = next(line for line in said.splitlines() if line.startswith("**−    1"))
    assert "eccentricity" in first
    assert "<0.0001" in first
    for words in (
        "8 teeth: fall on order 4",
        "Without orders 1, 2",
        "Largest interval error",
        " µm",
        "remains",
    ):
        assert words in " ".join(said.split())


def test_many_orders_are_cut_down_to_those_that_say_something(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    quiet = np.zeros(120)
    path = record(tmp_path / "b.toml", header(Design(120, (0, 1, 15, 47))), quiet, quiet, 0.05, 4)
    main(["analyse", str(path)])
    said = capsys.readouterr().out
    assert "orders more, none significant" in said
    assert len([line for line in said.splitlines() if "ellipse or tilt" in line]) == 1


def test_json(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert (
        main(["analyse", str(file), "--circle", "lower", "--remove", "1", "--diameter", "100", "--json"]) == 0
    )
    table = json.loads(capsys.readouterr().out)
    assert (table["format"], table["version"], table["circle"]) == ("fullturn analysis", 1, "lower")
    first = table["harmonics"][0]
    assert first["amplitude"] == pytest.approx(np.hypot(first["cosine"], first["sine"]))
    assert first["significant"] is True
    assert first["peak_angle"] == pytest.approx(first["phase"])
    assert len(table["harmonics"]) == 6
    assert table["removed"] == [1]
    assert table["eccentricity"]["micrometres"] == pytest.approx(
        first["amplitude"] / 412.5296 * 100, rel=1e-6
    )
    remaining = np.fft.rfft(table["remaining"]["position_error"])
    assert abs(remaining[1]) < 1e-9


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (["--remove", "7"], "12 positions show no order 7"),
        (["--remove", "0"], "no number from 1 on"),
        (["--remove", "a"], "no number from 1 on"),
        (["--diameter", "-1"], "no diameter"),
        (["--circle", "middle"], "invalid choice"),
    ],
)
def test_refusals_are_one_line(
    file: Path, capsys: pytest.CaptureFixture[str], options: list[str], said: str
) -> None:
    assert main(["analyse", str(file), *options]) == 2
    error = capsys.readouterr().err
    assert said in error
    assert error.count("\n") == 1


def test_what_stands_behind_the_uncertainties_is_said(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    main(["analyse", str(file)])
    alone = " ".join(capsys.readouterr().out.split())
    assert "for 95.45 %, type A only: no budget is recorded." in alone
    with Session.open(file) as session:
        lines = (Line("axes", half_width=9.0, effect=Effect("harmonic", order=1)),)
        record_budget(session, Budget(lines=lines))
    main(["analyse", str(file)])
    counted = " ".join(capsys.readouterr().out.split())
    assert "with 1 line of the budget." in counted
    assert "Order 1: beyond scatter, but within its uncertainty" in counted
    main(["analyse", str(file), "--json"])
    table = json.loads(capsys.readouterr().out)
    assert table["budget_lines"] == 1
    assert table["harmonics"][0]["amplitude_expanded_uncertainty"] > 9
