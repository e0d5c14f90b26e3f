"""Looking up what a circle really gives."""

from __future__ import annotations

import csv
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

from sessions.analysis import Analysis, analyse
from sessions.budget import Budget, of_any_two
from sessions.corrections import COLUMNS, Correction, correction_csv, corrections, position_at
from solver.refused import Refused
from tests.sessions.certified import LINES, header, taken

BUDGET = Budget(lines=LINES)


@pytest.fixture(scope="module")
def analysis(tmp_path_factory: pytest.TempPathFactory) -> Analysis:
    with taken(tmp_path_factory.mktemp("a") / "a.toml") as session:
        return analyse(session.matrix.snapshot())


@pytest.mark.parametrize("circle", ["lower", "upper"])
def test_errors_from_any_zero(analysis: Analysis, circle: str) -> None:
    errors = dict(analysis.circles)[circle].position.value
    table = corrections(analysis, BUDGET, circle, 5)
    assert [line.position for line in table] == [(5 + i) % 12 for i in range(12)]
    assert [line.nominal for line in table] == [30.0 * i for i in range(12)]
    assert [line.set_to for line in table] == [30.0 * ((5 + i) % 12) for i in range(12)]
    for line in table:
        assert line.error == pytest.approx(errors[line.position] - errors[5], abs=1e-12)
        assert line.actual == pytest.approx(line.nominal + line.error / 3600, abs=1e-15)
    _, u = of_any_two(analysis, BUDGET, circle, np.array([8]), np.array([5]))
    assert table[3].expanded == u.expanded[0]
    assert (table[0].error, table[0].expanded) == (0, 0)
    assert table[0].determined


@pytest.mark.parametrize(
    ("degrees", "position"), [(0, 0), (30, 1), (330, 11), (360, 0), (-30, 11), (750, 1), (210, 7)]
)
def test_position_at(degrees: int, position: int) -> None:
    assert position_at(Fraction(degrees), 12, "--at") == position


def test_odd_circles_have_exact_angles() -> None:
    assert position_at(Fraction(360, 7) * 3, 7, "--at") == 3
    assert position_at(Fraction("22.5"), 16, "--at") == 1


@pytest.mark.parametrize(
    ("degrees", "near"), [("217", "210° and 240°"), ("359", "330° and 0°"), ("-1", "330° and 0°")]
)
def test_between_two_positions_nothing_is_made_up(degrees: str, near: str) -> None:
    with pytest.raises(Refused) as refusal:
        position_at(Fraction(degrees), 12, "--at")
    assert near in refusal.value.remedy


def test_no_such_circle(tmp_path: Path) -> None:
    plan = header(6, closure="single", reading="interval", offsets=(0, 0))
    with taken(tmp_path / "a.toml", plan) as session, pytest.raises(Refused):
        corrections(analyse(session.matrix.snapshot()), BUDGET, "upper", 0)


@pytest.mark.parametrize(
    ("nominal", "error", "decimals", "words"),
    [
        (180.0, -0.15, 2, "179° 59′ 59.85″"),
        (30.0, 0.026, 3, "30° 00′ 00.026″"),
        (0.0, -0.1, 1, "359° 59′ 59.9″"),
        (0.0, 0.0, 0, "0° 00′ 00″"),
        (22.5, 61.26, 1, "22° 31′ 01.3″"),
        (51.428571428571, 0.0, 1, "51° 25′ 42.9″"),
        (90.0, 59.999, 2, "90° 01′ 00.00″"),
    ],
)
def test_angles_in_words(nominal: float, error: float, decimals: int, words: str) -> None:
    line = Correction("lower", 0, 0, 12, nominal, error, 0.1, 2.0, 10.0)
    assert line.actual_words(decimals) == words


def test_csv(analysis: Analysis) -> None:
    table = corrections(analysis, BUDGET, "lower", 2)
    rows = list(csv.DictReader(correction_csv(table).splitlines()))
    assert list(rows[0]) == list(COLUMNS)
    for row, line in zip(rows, table, strict=True):
        assert float(row["error_arcsec"]) == line.error == -float(row["correction_arcsec"])
        assert float(row["expanded_uncertainty_arcsec"]) == line.expanded
        assert float(row["actual_deg"]) == pytest.approx(line.actual, abs=1e-10)
    assert rows[0]["coverage_factor"] == ""
    assert rows[0]["correction_arcsec"] == "0.0"


def test_not_determined(tmp_path: Path) -> None:
    with taken(tmp_path / "a.toml", header(12, offsets=(0, 6))) as session:
        table = corrections(analyse(session.matrix.snapshot()), Budget(), "lower", 0)
    assert not table[1].determined
    row = list(csv.DictReader(correction_csv(table).splitlines()))[1]
    assert row["error_arcsec"] == row["actual_deg"] == ""
    assert row["nominal_deg"] == "30.0000000000"
