"""`fullturn plan` as typed."""

from __future__ import annotations

import json
from typing import Any

import pytest

from tui.cli import main


def planned(capsys: pytest.CaptureFixture[str], *words: str) -> dict[str, Any]:
    assert main(["plan", *words, "--json"]) == 0
    out, error = capsys.readouterr()
    assert error == ""
    table: dict[str, Any] = json.loads(out)
    return table


def text(capsys: pytest.CaptureFixture[str], *words: str) -> str:
    assert main(["plan", *words]) == 0
    out, error = capsys.readouterr()
    assert error == ""
    return out


def test_json_needs_the_positions_only(capsys: pytest.CaptureFixture[str]) -> None:
    # Design document, section 6 (contract).
    table = planned(capsys, "--positions", "12")
    assert (table["format"], table["version"], table["positions"]) == ("fullturn plan", 1, 12)
    choice = next(choice for choice in table["choices"] if choice["offsets"] == [0, 1, 4])
    assert choice["readings"] == 39
    assert choice["hours"] == pytest.approx(0.9, abs=0.05)
    assert choice["variance_factor"] == pytest.approx(0.4543, abs=5e-5)
    assert choice["standard_uncertainty"] == pytest.approx(0.034, abs=5e-4)
    assert {
        "expanded_uncertainty",
        "any_two_mean_standard_uncertainty",
        "any_two_mean_expanded_uncertainty",
        "any_two_worst_standard_uncertainty",
        "any_two_worst_expanded_uncertainty",
        "degrees_of_freedom",
        "coverage_factor",
        "efficiency",
        "decides",
        "recommended",
        "reason",
    } <= choice.keys()
    assert sum(choice["recommended"] for choice in table["choices"]) == 1


def test_every_figure_is_taken(capsys: pytest.CaptureFixture[str]) -> None:
    words = (
        "--step 30 --divisions 1440 360 --accepted-sd 0.1 --accepted-sd-dof 20 --tolerance 0.5 --seconds 20"
    )
    more = "--repeat-seconds 5 --offset-seconds 300 --repeats 2 --no-closing --offsets 0,1,4"
    table = planned(
        capsys,
        *words.split(),
        *more.split(),
        "--direction",
        "forward-and-return",
        "--arrangement",
        "face by face",
    )
    assert table["positions"] == 12
    assert table["closing"] is False
    assert table["direction"] == "forward and return"
    assert table["arrangement"] == "face by face"
    choice = table["choices"][0]
    assert choice["cells"] == 72
    assert choice["readings"] == 144
    assert choice["hours"] == pytest.approx((72 * 25 + 3 * 300) / 3600)
    assert choice["standard_uncertainty"] == pytest.approx(0.1 * (0.4543 / 2) ** 0.5, rel=1e-3)
    assert choice["decides"] is True


def test_a_single_closure_reads_intervals_unasked(capsys: pytest.CaptureFixture[str]) -> None:
    table = planned(capsys, "--positions", "6", "--closure", "single")
    assert table["reading"] == "interval"
    assert table["choices"][1]["offsets"] == [0, 0]


@pytest.mark.parametrize(
    "words",
    [
        "--positions 2",
        "--positions 12 --tolerance 0.25",
        "--positions 36 --tolerance 0.02 --repeats 3 --direction forward-and-return",
        "--positions 13 --no-closing --accepted-sd 0.05 --accepted-sd-dof 9",
        "--positions 24 --closure single",
        "--positions 72 --reading interval --arrangement face-by-face --tolerance 1e-6",
        "--positions 1440 --counts 2 48 1440 --tolerance 0.05",
        "--positions 12 --accepted-sd 5000",
        "--positions 12 --accepted-sd 1e-5",
    ],
)
def test_the_text_fits_eighty_columns_and_marks_one_choice(
    words: str, capsys: pytest.CaptureFixture[str]
) -> None:
    out = text(capsys, *words.split())
    lines = out.splitlines()
    assert max(len(line) for line in lines) <= 80
    table = lines[lines.index(next(line for line in lines if line.startswith("  runs  readings"))) + 1 :]
    rows = table[: table.index("")]
    assert sum(line.startswith(">") for line in rows) == 1
    widths = {len(line) for line in rows}
    assert len(widths) == 1, "columns stand under each other"


def test_the_recommended_offsets_are_written_out(capsys: pytest.CaptureFixture[str]) -> None:
    words = ("--positions", "360", "--tolerance", "0.05")
    best = next(choice for choice in planned(capsys, *words)["choices"] if choice["recommended"])
    assert len(best["offsets"]) > 30
    assert " ".join(str(offset) for offset in best["offsets"]) in " ".join(text(capsys, *words).split())


def test_an_assumption_is_called_one(capsys: pytest.CaptureFixture[str]) -> None:
    assert "an assumption" in text(capsys, "--positions", "12")
    assert "an assumption" not in text(capsys, "--positions", "12", "--accepted-sd", "0.05")


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        ("", "--positions N"),
        ("--step 7", "60 positions (6°)"),
        ("--step 0.4 --divisions 1440 1800", "do not divide the 1440 divisions"),
        ("--positions 12 --offsets 0 2 4", "share the factor 2"),
        ("--positions 12 --offsets 0 1;4", "“1;4” is no whole number"),
        ("--positions 12 --accepted-sd 0,05", "write 0.05"),
        (f"--positions 12 --offsets 0 {'1' * 5000}", "“11111111111111111111…” is no whole number"),
        ("--positions 12 --reading intervall", "use interval"),
        ("--positions 12 --direction forwards", "use forward"),
        ("--positions twelve", "no whole number"),
        ("--positions 12 --tolerance -1", "tolerance is -1"),
        ("--step abc", "no number"),
        ("--step 1/0", "no number"),
        ("--positions 12 --seconds -5", "-5 seconds"),
        ("--positions 12 --closure single --reading position", "reads intervals"),
        ("--positions 12 --unknown", "--unknown"),
    ],
)
def test_what_is_refused_takes_one_line_and_status_two(
    words: str, expected: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["plan", *words.split()]) == 2
    out, error = capsys.readouterr()
    assert out == ""
    assert expected in error
    assert error.count("\n") == 1
