"""A certificate of a session with arcs, and all else that looks at such a session: simulated, seeded."""

from __future__ import annotations

import csv
from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
import pytest

from sessions.analysis import analyse
from sessions.budget import Budget, of_measured, record
from sessions.certificate.csv import csv_text
from sessions.certificate.html import html
from sessions.certificate.numbers import pair
from sessions.certificate.pdf import pdf
from sessions.certificate_data import Certificate, certificate
from sessions.circle_analysis import analyse_circle
from sessions.comparison import compare_files
from sessions.design import Arc
from sessions.folder import list_sessions
from sessions.model_checks import model_checks
from sessions.practice.parameters import Parameters
from sessions.session import Session
from solver.budget import Line
from solver.effects import Effect
from tests.sessions.test_arcs_results import COARSE, DESIGN, played

TWO_ARCS = replace(DESIGN, arcs=(*DESIGN.arcs, *(Arc(330, arc.offset) for arc in DESIGN.arcs)))


def made(folder: Path, lines: tuple[Line, ...] = (), **change: object) -> Certificate:
    with played(folder, replace(TWO_ARCS, **change), Parameters(3)) as session:  # type: ignore[arg-type]
        if lines:
            record(session, Budget(lines=lines))
        return certificate(session, date(2026, 5, 1))


def test_the_method_tells_of_the_arcs(tmp_path: Path) -> None:
    words = " ".join(made(tmp_path).method)
    assert "4 runs round the circle were taken" in words
    assert "2 arcs of the lower circle, one interval long, were read in steps of 1°" in words
    assert (
        "from 30° to 60° in 4 runs at offsets 0°, 1°, 4°, 10°; from 330° to 0° in 4 runs at offsets 0°, 1°, 4°, 10°"
        in words
    )
    assert "at its 12 positions round the circle sum to zero" in words


def test_the_table_of_fine_positions(tmp_path: Path) -> None:
    line = Line("axes", standard_uncertainty=0.03, effect=Effect("harmonic", order=2))
    found = made(tmp_path, (line,))
    with Session.read(tmp_path / "s.toml") as session:
        analysis = analyse(session.matrix.snapshot())
    sheet = found.circles[0].fine
    assert sheet is not None
    angles = {*range(30, 61), *range(330, 360), 0}
    assert {row.angle for row in sheet.rows} == {f"{angle}°" for angle in angles}
    measured = analysis.adjustment.measured("lower")
    u = of_measured(analysis, Budget(lines=(line,)), "lower")
    at = list(measured.at).index(37)
    [row] = [row for row in sheet.rows if row.angle == "37°"]
    told = pair(measured.position.value[at], u.position.expanded[at])
    assert (row.error.strip(), row.error_u.strip()) == told
    told = pair(measured.from_first.value[at], u.from_first.expanded[at])
    assert (row.from_first.strip(), row.from_first_u.strip()) == told
    assert sheet.unknown == ""


def test_a_shape_leaves_the_uncertainty_between_positions_open_and_says_so(tmp_path: Path) -> None:
    shape = Line("plate", standard_uncertainty=0.03, effect=Effect("shape", shape=tuple(range(12))))
    found = made(tmp_path, (shape,))
    assert "nothing is known there of: plate" in html(found)
    sheet = found.circles[0].fine
    assert sheet is not None
    rows = {row.angle: row.error for row in sheet.rows}
    assert rows["37°"] == "not determined"
    assert rows["60°"].startswith(("+", "−"))


def test_fine_positions_are_decided_on_as_well(tmp_path: Path) -> None:
    with played(tmp_path, TWO_ARCS, Parameters(3)) as session:
        loose = certificate(session, date(2026, 5, 1))
        value = np.abs(loose.circles[1].errors.position.value).max()
        fine = loose.circles[1].fine
        assert fine is not None
        inside = np.nanmax(np.abs(fine.measured.position.value))
        # An upper circle whose largest error lies between the positions round the circle, by far.
        assert inside > value + 0.2
        session.amend("upper.tolerance", round(value + 0.08, 3), "agreed")
        found = certificate(session, date(2026, 5, 1))
    sheet = found.circles[1]
    assert sheet.decided.startswith("does not conform; round the circle: conforms")
    assert "; in fine steps: does not conform; at 301°: error +0.5" in sheet.decided
    assert "decided on apart" in found.decision_rule
    assert found.attention


@pytest.mark.parametrize("direction", ["forward", "forward and return"])
def test_every_reading_is_in_the_annex_once(tmp_path: Path, direction: str) -> None:
    found = made(tmp_path, direction=direction)
    grids = found.annex.grids
    ways = 1 if direction == "forward" else 2
    assert [len(grid.runs) for grid in grids] == [4 * ways] * 3
    assert [len(grid.steps) for grid in grids] == [13, 32, 32]
    assert [grid.title[:8] for grid in grids] == ["Runs rou", "Arc of t", "Arc of t"]
    assert all(cell for grid in grids for row in grid.cells for cell in row)
    assert all(reason.startswith(("flag", "a specimen", "not filled in")) for reason in found.draft)


def test_all_forms(tmp_path: Path) -> None:
    found = made(tmp_path)
    assert pdf(found)[0].startswith(b"%PDF")
    page = html(found)
    assert "In fine steps, lower circle" in page
    assert "Arc of the lower circle from 330° to 0°, in steps of 1°; offsets in steps" in page
    lines = [line for line in csv_text(found).splitlines() if not line.startswith("#")]
    rows = list(csv.DictReader(lines))
    with Session.read(tmp_path / "s.toml") as session:
        measured = analyse(session.matrix.snapshot()).adjustment.measured("upper")
    upper = [row for row in rows if row["circle"] == "upper" and row["result"] == "position_error"]
    by_angle = {round(float(row["angle_deg"])): float(row["error_arcsec"]) for row in upper}
    assert len(upper) == len(by_angle) == len(measured.at)
    for at, value in zip(measured.at, measured.position.value, strict=True):
        assert by_angle[int(at)] == value
    assert {row["position"] for row in upper if row["angle_deg"] == "329.0"} == {"10+29/30"}


def test_an_arc_that_stays_open_makes_a_draft_without_values(tmp_path: Path) -> None:
    found = made(tmp_path, arcs=(Arc(45, 0),))
    assert found.draft
    for circle in found.circles:
        assert circle.fine is not None
        inside = [row for row in circle.fine.rows if int(row.angle[:-1]) % 30]
        assert len(inside) == 30
        assert {row.error for row in inside} == {"not determined"}
        assert circle.budget is not None
    lines = [line for line in csv_text(found).splitlines() if not line.startswith("#")]
    assert {row["error_arcsec"] for row in csv.DictReader(lines) if "/" in row["position"]} == {""}
    assert pdf(found)[0].startswith(b"%PDF")


def test_without_arcs_there_is_nothing_of_them(tmp_path: Path) -> None:
    with played(tmp_path, COARSE, Parameters(3)) as session:
        found = certificate(session, date(2026, 5, 1))
    assert all(circle.fine is None for circle in found.circles)
    assert "fine steps" not in html(found)
    assert [grid.title for grid in found.annex.grids] == [""]


def test_what_else_looks_at_the_session(tmp_path: Path) -> None:
    with played(tmp_path, TWO_ARCS, Parameters(3)) as session:
        snapshot = session.matrix.snapshot()
        analysis = analyse(snapshot)
        checks = model_checks(session.entries, snapshot, analysis)
    assert len(analysis.lower.position.value) == 12
    assert any(check.verdict == "holds" for check in checks)
    for name in ("lower", "upper"):
        apart = analyse_circle(analysis, name)
        # Six orders of twelve positions, whatever was read between them.
        assert len(apart.u.amplitude.expanded) == 6
        assert np.isfinite(apart.u.amplitude.expanded).all()
    [listed] = list_sessions(tmp_path)
    assert (listed.filled, listed.planned, listed.problem) == (4 * 13 + 8 * 32, 4 * 13 + 8 * 32, "")


def test_a_comparison_is_of_the_positions_round_the_circle(tmp_path: Path) -> None:
    for name, design in (("fine", DESIGN), ("coarse", COARSE)):
        (tmp_path / name).mkdir()
        played(tmp_path / name, design, Parameters(3)).close()
    [found] = compare_files(
        [tmp_path / "coarse" / "s.toml", tmp_path / "fine" / "s.toml"], ("lower", "lower")
    )
    [pair_] = found.pairs
    assert len(pair_.change.difference) == 12
    # The same simulated circle twice.
    assert pair_.change.whole.p_value > 0.05
