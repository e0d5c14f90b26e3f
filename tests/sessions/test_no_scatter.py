"""Readings that agree to the last digit: their scatter is not known, so only what a definition fixes is certain.

JCGM 100:2008, F.2.2.1: repeated indications that all agree are no evidence of an uncertainty of 0 (from memory).
"""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest

from sessions.analysis import analyse
from sessions.budget import Budget, expanded
from sessions.header import Header
from sessions.new import Form, check
from sessions.screening_words import no_scatter
from sessions.session import Session
from solver.budget import Line
from tui.cli import main


def header() -> Header:
    form = Form(resolution="1", lower_tolerance="2", upper_tolerance="2")
    found = check(form, datetime(2026, 3, 2, tzinfo=UTC)).header
    assert found is not None
    return found


def exact(path: Path, base: float) -> Path:
    """A session of twelve positions that read base and base + 1 in turn, as one bad half of the teeth makes it."""
    with Session.create(path, header()) as session:
        for run in range(3):
            for step in range(13):
                session.take(run, step, base + (step % 2))
    return path


@pytest.mark.parametrize("base", [0.0, 3.4, -1e6 + 0.1])
def test_readings_that_fit_exactly_have_no_scatter_and_no_expanded_uncertainty(
    tmp_path: Path, base: float
) -> None:
    with Session.read(exact(tmp_path / "s.toml", base)) as session:
        analysis = analyse(session.matrix.snapshot())
        assert analysis.adjustment.degrees_of_freedom == 14
        assert analysis.deviation == 0
        assert "to the last digit" in no_scatter(analysis)
        found = expanded(session.entries, analysis)
    for _, circle in found.circles:
        assert np.isnan(circle.position.expanded).all()
        assert np.isnan(circle.position.standard).all()
        assert circle.from_first.expanded[0] == 0
        assert np.isnan(circle.from_first.expanded[1:]).all()


def test_a_line_of_the_budget_gives_them_an_uncertainty(tmp_path: Path) -> None:
    rounding = Line("resolution", half_width=0.5)
    with Session.read(exact(tmp_path / "s.toml", 0.0)) as session:
        analysis = analyse(session.matrix.snapshot())
        found = expanded(session.entries, analysis, Budget(lines=(rounding,)))
    assert (found.lower.position.expanded > 0).all()
    assert np.isinf(found.lower.position.freedom).all()


@pytest.mark.parametrize("ending", ["pdf", "html", "csv"])
def test_their_certificate_decides_nothing(
    tmp_path: Path, ending: str, capsys: pytest.CaptureFixture[str]
) -> None:
    path = exact(tmp_path / "s.toml", 0.0)
    main(["report", str(path), "-o", str(tmp_path / f"c.{ending}")])
    said = capsys.readouterr()
    assert "not decided: no error is determined with its uncertainty" in said.out + said.err
    assert "conforms" not in said.out + said.err


def test_it_is_said_beside_the_results(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    main(["solve", str(exact(tmp_path / "s.toml", 0.0))])
    assert "to the last digit, so ±0 does not say" in " ".join(capsys.readouterr().out.split())


def test_scatter_that_is_small_beside_the_readings_is_scatter(tmp_path: Path) -> None:
    with Session.create(tmp_path / "s.toml", header()) as session:
        for run in range(3):
            for step in range(13):
                session.take(run, step, 1000.0 + 1e-6 * ((7 * step + 5 * run) % 4))
        assert 0 < analyse(session.matrix.snapshot()).deviation < 1e-5
