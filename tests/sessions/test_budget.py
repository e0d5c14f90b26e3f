"""The budget of a session: recorded, read back, counted."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from sessions.analysis import Analysis, analyse
from sessions.budget import Budget, budget_of, budget_table, expanded, of_any_two, read_budget, record
from sessions.budget_lines import starting_lines
from sessions.design import Arc, Design
from sessions.entries import Reading
from sessions.header import Header
from sessions.matrix import Matrix
from sessions.session import Session
from solver.budget import Line
from solver.coverage import coverage_factor
from solver.effects import Effect
from solver.refused import Refused
from tests.sessions.certified import LINES, header, taken
from tests.sessions.kit import START

KEYS = {
    prefix + name
    for prefix in ("", "from_first_", "interval_")
    for name in (
        "combined_standard_uncertainty",
        "expanded_uncertainty",
        "coverage_factor",
        "effective_degrees_of_freedom",
    )
}


def test_type_a_alone_without_a_budget(tmp_path: Path) -> None:
    with taken(tmp_path / "a.toml") as session:
        analysis = analyse(session.matrix.snapshot())
        found = expanded(session.entries, analysis).fields("lower")
    assert set(found) == KEYS
    k = float(coverage_factor(analysis.adjustment.degrees_of_freedom))
    np.testing.assert_allclose(found["coverage_factor"], k)
    np.testing.assert_allclose(
        found["expanded_uncertainty"], k * analysis.lower.position.uncertainty, rtol=1e-12
    )
    np.testing.assert_allclose(
        found["interval_expanded_uncertainty"], k * analysis.lower.interval.uncertainty, rtol=1e-12
    )
    assert found["effective_degrees_of_freedom"] == [analysis.adjustment.degrees_of_freedom] * 12
    assert found["from_first_expanded_uncertainty"][0] == 0
    assert found["from_first_coverage_factor"][0] is None


def test_lines_are_recorded_and_read_back(tmp_path: Path) -> None:
    shape = Line("shape", standard_uncertainty=0.1, effect=Effect("shape", "upper", shape=(0.5,) * 12))
    budget = Budget(
        0.95, (*LINES, shape, Line("phase", half_width=1.0, effect=Effect("harmonic", phase=30.0)))
    )
    with taken(tmp_path / "a.toml") as session:
        before = expanded(session.entries, analyse(session.matrix.snapshot()))
        record(session, Budget(lines=(Line("old", half_width=9.0),)))
        record(session, budget)
    with Session.read(tmp_path / "a.toml") as again:
        assert budget_of(again.entries, 12) == budget
        after = expanded(again.entries, analyse(again.matrix.snapshot()))
    assert (after.lower.position.standard > before.lower.position.standard).all()
    assert after.budget == budget


def test_every_circle_and_result_has_its_own_uncertainty(tmp_path: Path) -> None:
    with taken(tmp_path / "a.toml") as session:
        record(
            session, Budget(lines=(Line("of the upper", half_width=1.0, effect=Effect("position", "upper")),))
        )
        found = expanded(session.entries, analyse(session.matrix.snapshot()))
    assert found.upper is not None
    assert found.lower.position.expanded.max() < 0.1
    assert found.upper.position.expanded.min() > 0.9
    # About the mean (n-1)/n of the variance, between two positions twice of it.
    ratio = found.upper.interval.components[1] / found.upper.position.components[1]
    np.testing.assert_allclose(ratio**2, 2 * 12 / 11)


def test_not_determined_and_no_freedom(tmp_path: Path) -> None:
    plan = header(12, offsets=(0, 6))
    with taken(tmp_path / "open.toml", plan) as session:
        found = expanded(session.entries, analyse(session.matrix.snapshot())).fields("lower")
    assert found["expanded_uncertainty"] == [None] * 12
    bare = header(12, offsets=(0, 1), closing=False)
    with taken(
        tmp_path / "bare.toml",
        replace(bare, instrument=replace(bare.instrument, accepted_sd=None, accepted_sd_dof=None)),
    ) as s:
        none = expanded(s.entries, analyse(s.matrix.snapshot())).fields("lower")
    assert none["expanded_uncertainty"] == [None] * 12
    assert none["from_first_expanded_uncertainty"][0] == 0
    with taken(tmp_path / "accepted.toml", bare) as session:
        accepted = expanded(session.entries, analyse(session.matrix.snapshot())).fields("lower")
    assert accepted["effective_degrees_of_freedom"] == [30.0] * 12


def test_known_scatter_has_no_degrees_of_freedom_but_a_factor(tmp_path: Path) -> None:
    bare = header(12, offsets=(0, 1), closing=False)
    known = replace(bare, instrument=replace(bare.instrument, accepted_sd_dof=None))
    with taken(tmp_path / "known.toml", known) as session:
        found = expanded(session.entries, analyse(session.matrix.snapshot())).fields("upper")
    assert found["effective_degrees_of_freedom"] == [None] * 12
    np.testing.assert_allclose(found["coverage_factor"], 2.0, atol=5e-5)


def test_any_two_positions(tmp_path: Path) -> None:
    with taken(tmp_path / "a.toml") as session:
        record(session, Budget(lines=LINES))
        analysis = analyse(session.matrix.snapshot())
        all_ = expanded(session.entries, analysis)
    here = np.arange(12)
    value, u = of_any_two(analysis, all_.budget, "lower", here, np.zeros(12, dtype=int))
    np.testing.assert_allclose(value, analysis.lower.from_first.value, atol=1e-12)
    np.testing.assert_allclose(u.expanded, all_.lower.from_first.expanded, rtol=1e-9)
    back, same = of_any_two(analysis, all_.budget, "lower", np.zeros(12, dtype=int), here)
    np.testing.assert_allclose(back, -value, atol=1e-12)
    np.testing.assert_allclose(same.expanded, u.expanded, rtol=1e-9)


@pytest.mark.parametrize(
    ("line", "where"),
    [
        ({"name": ""}, "name"),
        ({"name": "a", "half_width": -1.0}, "half_width"),
        ({"name": "a", "half_width": 1.0, "standard_uncertainty": 1.0}, "line 1"),
        ({"name": "a", "degrees_of_freedom": 3.0, "relative_uncertainty": 0.1}, "line 1"),
        ({"name": "a", "degrees_of_freedom": 0.0}, "degrees_of_freedom"),
        ({"name": "a", "distribution": "rectangle"}, "distribution"),
        ({"name": "a", "effect": "shape", "shape": [1.0, 2.0]}, "shape"),
        ({"name": "a", "effect": "shape"}, "shape"),
        ({"name": "a", "effect": "harmonic", "order": 0}, "order"),
        ({"name": "a", "halfwidth": 1.0}, "halfwidth"),
        ({"name": "a", "counted": "yes"}, "counted"),
    ],
)
def test_lines_that_do_not_fit_are_refused(line: dict[str, object], where: str) -> None:
    with pytest.raises(Refused) as refusal:
        read_budget({"lines": [line]}, 12)
    assert where in refusal.value.where


@pytest.mark.parametrize("table", [{"probability": 1.0}, {"lines": 3}, {"probabilty": 0.9}])
def test_tables_that_are_no_budget_are_refused(table: dict[str, object]) -> None:
    with pytest.raises(Refused):
        read_budget(table, 12)


def test_record_refuses_before_anything_is_written(tmp_path: Path) -> None:
    with taken(tmp_path / "a.toml") as session:
        before = len(session.entries)
        with pytest.raises(Refused):
            record(session, Budget(lines=(Line("a", effect=Effect("shape", shape=(1.0,))),)))
        assert len(session.entries) == before


def test_table_says_no_more_than_needed() -> None:
    assert budget_table(Budget(lines=(Line("a", half_width=1.0),)))["lines"] == [
        {
            "name": "a",
            "kind": "B",
            "distribution": "rectangular",
            "half_width": 1.0,
            "sensitivity": 1.0,
            "effect": "position",
            "circle": "both",
            "counted": True,
            "source": "",
        }
    ]


def test_starting_lines_are_those_of_the_design_filled_from_worksheets(tmp_path: Path) -> None:
    with taken(tmp_path / "a.toml") as session:
        empty = starting_lines(session.entries, analyse(session.matrix.snapshot()))
        session.setup(
            "polarity and scale",
            {"scale": 1.003, "scale_standard_uncertainty": 0.004, "effective_degrees_of_freedom": 7.5},
        )
        session.setup("levelling", {"effect_on_angle_arcsec": 0.004})
        session.setup(
            "mirror height and facing", {"effect_on_angle_arcsec": 0.02, "between_axes_arcsec": 60.0}
        )
        session.setup("seating repeatability", {"standard_deviation_arcsec": 0.03, "degrees_of_freedom": 9})
        full = {
            line.name: line for line in starting_lines(session.entries, analyse(session.matrix.snapshot()))
        }
    assert [line.name for line in empty] == list(full)
    assert {line.name for line in empty if line.assessed} == {"resolution", "residual drift"}
    scale = full["instrument scale"]
    assert scale.uncertainty == pytest.approx(0.005)  # root(0.003² + 0.004²): JCGM 100, F.2.4.5
    assert scale.freedom == 7.5
    assert scale.effect.kind == "proportional"
    assert full["cross-axis (roll × tilt)"].half_width == pytest.approx(0.01)
    # τ²/4 of 60″: 0.00436″ (recomputed).
    assert full["axes not parallel"].half_width == pytest.approx(0.00436, abs=5e-6)
    assert not full["seating repeatability of the circle"].counted
    assert full["seating repeatability of the circle"].uncertainty == 0.03
    assert not full["resolution"].counted
    drift = full["residual drift"]
    # ½ u⁴ / (m² s² + s⁴/22) for m = 0.0225 and s = 0.013, by hand.
    assert drift.freedom == pytest.approx(2.6, abs=0.2)
    assert drift.effect == Effect("ramp", "lower")


def drifting(design: Design, seed: int, *, per_step: float = 0.0, sd: float = 0.05) -> Analysis:
    """Readings of two circles without errors that grow from reading to reading of a run, in the order read."""
    generator = np.random.default_rng(seed)
    matrix, number = Matrix(Header(design=design)), 0
    for run in design.runs:
        steps = list(design.steps_of(run.number))
        for time, step in enumerate(steps if run.direction == "forward" else steps[::-1]):
            number += 1
            value = per_step * time + generator.normal(0, sd)
            matrix.add(Reading(number, START, run.number, step, float(value)))
    return analyse(matrix.snapshot(), screened=False)


def drift_line(found: Analysis) -> Line:
    [line] = [line for line in starting_lines((), found) if line.name == "residual drift"]
    return line


def test_runs_over_arcs_do_not_tell_the_drift_over_a_turn() -> None:
    """0.01″ a step is 0.12″ over the 12 steps of a turn, whatever shorter runs there are beside."""
    whole = Design(12, (0, 1, 4, 6))
    arcs = tuple(Arc(2 * start, offset) for start in range(12) for offset in (0, 1, 2))
    for design in (whole, replace(whole, subdivision=2, arcs=arcs)):
        line = drift_line(drifting(design, 1, per_step=0.01, sd=0.0005))
        assert line.standard_uncertainty == pytest.approx(0.12, rel=0.01)
        assert "4 runs" in line.source


def test_the_degrees_of_freedom_of_a_drift_are_those_of_its_size() -> None:
    """JCGM 100, G.3: ½ (u/Δu)², Δu by 4,000 simulated sessions whose misfits are all a real drift."""
    plan, generator = Design(12, (0, 1, 4, 6)), np.random.default_rng(3)
    misfit = 0.12 + generator.normal(0, 0.02, (4000, 4))
    size = np.hypot(misfit.mean(axis=1), misfit.std(axis=1, ddof=1) / 2)
    expected = 0.5 * (size.mean() / size.std()) ** 2
    found = [drift_line(drifting(plan, seed, per_step=0.01, sd=0.02 / np.sqrt(2))) for seed in range(60)]
    assert np.median([line.freedom for line in found]) == pytest.approx(expected, rel=0.5)
    assert expected > 50


@pytest.mark.parametrize(
    "design",
    [
        Design(12, tuple(range(12))),
        Design(12, (0, 1, 4)),
        Design(8, (0, 1, 3, 4), direction="forward and return"),
    ],
    ids=["complete", "partial", "forward and return"],
)
def test_a_drift_is_counted_only_where_it_is_more_than_scatter(design: Design) -> None:
    """The scatter of the readings is in type A already (JCGM 100, 4.3.10); of 600 sessions without drift 5 % ± 2.7."""
    still = [drift_line(drifting(design, seed)) for seed in range(600)]
    assert np.mean([line.counted for line in still]) == pytest.approx(0.05, abs=0.027)
    assert all(("held by the scatter" in line.source) != line.counted for line in still)
    assert all(line.standard_uncertainty for line in still)
    # 5 σ over a run.
    drift = 5 * 0.05 / design.positions
    moving = [drift_line(drifting(design, seed, per_step=drift)) for seed in range(100)]
    assert all(line.counted for line in moving)


def test_a_drift_cancels_from_runs_read_forward_and_back() -> None:
    """Simulated: circles without errors stay so under a drift of 2″ over each run, and no line claims it."""
    found = drifting(Design(12, (0, 1, 4), direction="forward and return"), 5, per_step=2 / 12)
    assert found.lower.position.value == pytest.approx([0] * 12, abs=0.12)
    line = drift_line(found)
    assert line.counted
    # Misfits of two readings each: 0.05 root(2) over root(6 runs).
    assert line.standard_uncertainty == pytest.approx(0.05 * np.sqrt(2 / 6), rel=0.8)
    forward = drift_line(drifting(Design(12, (0, 1, 4)), 5, per_step=2 / 12))
    assert forward.standard_uncertainty == pytest.approx(2, abs=0.15)


def test_resolution_counts_where_the_scatter_cannot_show_it(tmp_path: Path) -> None:
    coarse = header()
    plan = replace(coarse, instrument=replace(coarse.instrument, resolution=1.0))
    with taken(tmp_path / "a.toml", plan) as session:
        lines = {
            line.name: line for line in starting_lines(session.entries, analyse(session.matrix.snapshot()))
        }
    assert lines["resolution"].counted
    assert lines["resolution"].half_width == 0.5
