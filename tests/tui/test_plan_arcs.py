"""`fullturn plan --subdivide` as typed."""

from __future__ import annotations

import pytest

from tests.tui.test_plan_command import planned, text
from tui.cli import main

TRIAL = "--positions 12 --offsets 0,1,4 --subdivide 30 --arcs 0 --arc-offsets 0,1,4,10,18,30"


def test_arcs_stand_beside_the_choices(capsys: pytest.CaptureFixture[str]) -> None:
    table = planned(capsys, *TRIAL.split())
    assert table["choices"] == planned(capsys, "--positions", "12", "--offsets", "0,1,4")["choices"]
    arcs = table["arcs"]
    assert (arcs["subdivision"], arcs["fine_positions"], arcs["arcs"]) == (30, 360, [0])
    assert arcs["arc_offsets"] == [0, 1, 4, 10, 18, 30]
    assert (arcs["offsets"], arcs["total_readings"], arcs["complete_readings"]) == ([0, 1, 4], 231, 129_600)
    assert arcs["determined"] is True
    # Below 0.83 without closing readings over the arcs (as tried beforehand), which can only help.
    assert 0.7 < arcs["lower"]["from_first_worst_variance_factor"] < 0.827
    assert arcs["lower"]["from_first_worst_standard_uncertainty"] == pytest.approx(
        0.05 * arcs["lower"]["from_first_worst_variance_factor"] ** 0.5
    )
    assert arcs["lower"]["positions"] == 29


def test_without_arcs_there_are_none(capsys: pytest.CaptureFixture[str]) -> None:
    assert "arcs" not in planned(capsys, "--positions", "12")


def test_offsets_are_proposed_and_all_arcs_meant(capsys: pytest.CaptureFixture[str]) -> None:
    table = planned(capsys, "--positions", "12", "--subdivide", "30", "--repeats", "2")
    best = next(choice for choice in table["choices"] if choice["recommended"])
    arcs = table["arcs"]
    assert arcs["offsets"] == best["offsets"]
    assert arcs["arcs"] == list(range(12))
    assert arcs["readings"] == 2 * 12 * 32 * len(arcs["arc_offsets"])
    assert arcs["total_readings"] == best["readings"] + arcs["readings"]
    assert arcs["determined"] is True
    assert arcs["total_readings"] < 0.02 * arcs["complete_readings"]


def test_what_stays_open_is_null_and_said(capsys: pytest.CaptureFixture[str]) -> None:
    words = ["--positions", "12", "--subdivide", "30", "--arcs", "0", "3", "--arc-offsets", "0", "3", "6"]
    arcs = planned(capsys, *words)["arcs"]
    assert arcs["determined"] is False
    assert arcs["undetermined"] >= 2
    assert arcs["lower"]["from_first_worst_variance_factor"] is None
    assert arcs["lower"]["about_mean_standard_uncertainty"] is None
    assert "all multiples of 3" in arcs["remedies"][0]
    assert "! Arc offsets that are all multiples of 3 leave errors inside" in text(capsys, *words)


@pytest.mark.parametrize(
    "words",
    [
        TRIAL,
        "--positions 12 --subdivide 30",
        "--positions 36 --subdivide 10 --arcs 1 2 35",
        "--positions 4 --subdivide 90 --arcs 2 --arc-offsets 0,7",
        "--positions 12 --subdivide 2 --repeats 3 --direction forward-and-return --arrangement face-by-face",
    ],
)
def test_the_text_fits_eighty_columns(words: str, capsys: pytest.CaptureFixture[str]) -> None:
    out = text(capsys, *words.split())
    assert max(len(line) for line in out.splitlines()) <= 80
    assert "complete closure of" in out


def test_the_text_holds_the_costs_and_the_gain(capsys: pytest.CaptureFixture[str]) -> None:
    lines = [line.split() for line in text(capsys, *TRIAL.split()).splitlines()]
    assert ["together", "9", "231", "5.1"] in lines
    assert ["complete", "closure", "of", "360", "positions", "360", "129,600", "2712"] in lines
    assert ["lower", "u", "0.044″,", "variance", "0.758", "0.039″"] in lines


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        ("--positions 12 --arcs 0", "no interval is divided"),
        ("--positions 12 --arc-offsets 0 1", "no interval is divided"),
        ("--positions 12 --subdivide 30 --arcs 12", "there is no arc 12"),
        ("--positions 12 --subdivide 30 --arcs some", "“some” is no whole number"),
        ("--positions 12 --subdivide 30 --arc-offsets 0 x", "--arc-offsets"),
        ("--positions 12 --subdivide 1", "cannot be divided into 1"),
        ("--positions 12 --subdivide 0", "cannot be divided into 0"),
        ("--positions 12 --subdivide thirty", "no whole number"),
        ("--positions 12 --subdivide 30 --closure single", "one circle against the other"),
        ("--positions 12 --subdivide 30 --reading interval", "one circle against the other"),
        ("--positions 12 --subdivide 7 --divisions 1440", "84 positions do not divide the 1440 divisions"),
        ("--positions 12 --subdivide 300", "at most 1440 can be solved"),
    ],
)
def test_what_is_refused_takes_one_line(
    words: str, expected: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["plan", *words.split()]) == 2
    out, error = capsys.readouterr()
    assert out == ""
    assert expected in error
    assert error.count("\n") == 1
