"""What is said of a session with arcs in fine steps: simulated, so that the truth is known."""

from __future__ import annotations

import csv
import io
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

from sessions.analysis import analyse
from sessions.budget import Budget, expanded, of_measured
from sessions.corrections import corrections, measured_at
from sessions.design import Arc, Design
from sessions.export import export_long, export_matrix
from sessions.practice.begin import begin, header_of, play
from sessions.practice.debrief import debrief
from sessions.practice.parameters import Parameters
from sessions.practice.slips import Slips
from sessions.practice.stack import Stack
from sessions.result import result
from sessions.session import Session
from solver.budget import Line
from solver.effects import Effect
from solver.refused import Refused
from tests.sessions.kit import START, Clock, QuickDisk
from tui.solve_text import solve_text

DESIGN = Design(12, (0, 1, 4, 6), subdivision=30, arcs=tuple(Arc(30, offset) for offset in (0, 1, 4, 10)))
COARSE = replace(DESIGN, subdivision=1, arcs=())
NO_SCATTER = Parameters(3, seating=0.0, within=0.0, drift=0.0, turbulence=0.0)


def played(folder: Path, design: Design = DESIGN, parameters: Parameters = NO_SCATTER) -> Session:
    session = begin(folder / "s.toml", design, parameters, clock=Clock(), disk=QuickDisk())
    play(session)
    return session


def stack_of(design: Design, parameters: Parameters = NO_SCATTER) -> Stack:
    return Stack(header_of(design, parameters, START), parameters)


@pytest.mark.parametrize("direction", ["forward", "forward and return"])
@pytest.mark.parametrize("arrangement", ["counter-rotating", "face by face"])
def test_the_truth_of_the_stack_comes_back(tmp_path: Path, direction: str, arrangement: str) -> None:
    design = replace(DESIGN, direction=direction, arrangement=arrangement)  # type: ignore[arg-type]
    stack = stack_of(design)
    with played(tmp_path, design) as session:
        snapshot = session.matrix.snapshot()
        analysis = analyse(snapshot)
        found = result(snapshot, analysis, session.entries)
    for circle, truth in (("lower", stack.lower_fine), ("upper", stack.upper_fine)):
        fine = found["circles"][circle]["fine"]
        at = np.array(fine["position"])
        # The readings are rounded to 0.01 arc seconds.
        np.testing.assert_allclose(fine["position_error"], truth[at], atol=0.02)
        np.testing.assert_allclose(fine["from_first"], truth[at] - truth[0], atol=0.03)
        assert fine["subdivision"] == 30
        assert fine["angle"] == pytest.approx(at.tolist())
        coarse = {int(each): number for number, each in enumerate(at) if each % 30 == 0}
        for key in (
            "position_error",
            "standard_uncertainty",
            "from_first",
            "from_first_standard_uncertainty",
        ):
            told = found["circles"][circle][key]
            assert [fine[key][coarse[30 * each]] for each in range(12)] == pytest.approx(told, abs=1e-9)
    arc = found["runs"][-1]
    assert arc["arc"] == {"start": 30.0, "end": 60.0}
    assert arc["offset"] == 10
    assert "arc" not in found["runs"][0]


def test_a_coarse_session_draws_what_it_always_drew() -> None:
    parameters = Parameters(5, slips=0.05)
    coarse, fine = stack_of(COARSE, parameters), stack_of(DESIGN, parameters)
    np.testing.assert_array_equal(coarse.lower, fine.lower)
    np.testing.assert_array_equal(fine.lower_fine[::30], coarse.lower)
    for run in range(4):
        assert [coarse.reading(run, step, 0, 0) for step in range(13)] == [
            fine.reading(run, step, 0, 0) for step in range(13)
        ]
        assert Slips(coarse).of_run(run) == Slips(fine).of_run(run)


def test_slips_over_arcs_lie_on_their_steps() -> None:
    slips = Slips(stack_of(DESIGN, Parameters(5, slips=0.1)))
    steps = [slip.step for run in range(4, 8) for slip in slips.of_run(run)]
    # A tenth of 128 cells, one more or less by where the counting begins.
    assert 11 <= len(steps) <= 14
    assert max(steps) > 12
    assert max(steps) <= 31


def test_no_arcs_nothing_of_them(tmp_path: Path) -> None:
    with played(tmp_path, COARSE) as session:
        snapshot = session.matrix.snapshot()
        analysis = analyse(snapshot)
        found = result(snapshot, analysis, session.entries)
        text = solve_text(snapshot, analysis)
    assert "fine" not in found["circles"]["lower"]
    assert all("arc" not in run for run in found["runs"])
    assert found["reference_angle_expanded_uncertainty"] is None
    assert "fine" not in text
    assert next(csv.reader(io.StringIO(export_long(snapshot)))) == [
        *("entry", "time", "run", "offset", "step", "value", "status", "reason")
    ]


def test_the_fixed_angle_has_its_expanded_uncertainty(tmp_path: Path) -> None:
    single = Design(8, (0, 0, 0), closure="single", reading="interval")
    with played(tmp_path, single, Parameters(3)) as session:
        snapshot = session.matrix.snapshot()
        found = result(snapshot, analyse(snapshot), session.entries)
    assert found["reference_angle_expanded_uncertainty"] == pytest.approx(
        found["reference_angle_coverage_factor"] * found["reference_angle_standard_uncertainty"]
    )


def test_the_text_lists_fine_positions_and_arcs(tmp_path: Path) -> None:
    with played(tmp_path, parameters=Parameters(3)) as session:
        snapshot = session.matrix.snapshot()
        analysis = analyse(snapshot)
    lines = solve_text(snapshot, analysis).splitlines()
    measured = analysis.adjustment.measured("lower")
    [line] = [line for line in lines if line.split()[:2] == ["37", "37°"]]
    value = float(line.split()[2].replace("−", "-"))
    assert value == pytest.approx(measured.position.value[list(measured.at).index(37)], abs=0.0006)
    [arc] = [line for line in lines if line.split()[:4] == ["7", "30°", "10", "forward"]]
    assert arc.split()[4].replace("−", "-")[:4] == f"{analysis.adjustment.constant.value[7]:.3f}"[:4]
    assert max(map(len, lines)) <= 80


def test_only_the_list_is_exported(tmp_path: Path) -> None:
    with played(tmp_path) as session:
        snapshot = session.matrix.snapshot()
    with pytest.raises(Refused, match="one matrix cannot hold both") as refused:
        export_matrix(snapshot)
    assert "--long" in (refused.value.remedy or "")
    rows = list(csv.DictReader(io.StringIO(export_long(snapshot))))
    assert len(rows) == 4 * 13 + 4 * 32
    assert {row["arc"] for row in rows[: 4 * 13]} == {""}
    assert {row["arc"] for row in rows[4 * 13 :]} == {"30° to 60°"}
    assert rows[-1]["step"] == "31"
    assert rows[-1]["offset"] == "10"


def test_budget_lines_at_fine_positions(tmp_path: Path) -> None:
    lines = (
        Line("another at every position", standard_uncertainty=0.3),
        Line("twice per turn", standard_uncertainty=0.2, effect=Effect("harmonic", order=2)),
        Line("known phase", standard_uncertainty=0.1, effect=Effect("harmonic", order=1, phase=20.0)),
        Line("round", standard_uncertainty=0.1, effect=Effect("ramp")),
    )
    with played(tmp_path, parameters=Parameters(3)) as session:
        analysis = analyse(session.matrix.snapshot())
    measured = analysis.adjustment.measured("lower")
    found = of_measured(analysis, Budget(lines=lines), "lower")
    coarse = expanded((), analysis, Budget(lines=lines)).lower
    every = list(measured.at % 30 == 0)
    np.testing.assert_allclose(found.position.standard[every], coarse.position.standard)
    np.testing.assert_allclose(found.from_first.expanded[every], coarse.from_first.expanded)
    # By hand at 37°, the mean over twelve positions taken off (JCGM 100, 5.2.2, equation 13; recomputed).
    at = list(measured.at).index(37)
    angle, twelve = np.radians(37), np.radians(30 * np.arange(12))
    phase = np.radians(20)
    by_hand = [
        0.3 * np.sqrt(13 / 12),
        0.2,
        0.1 * abs(np.sin(angle + phase) - np.sin(twelve + phase).mean()),
        0.1 * abs(37 / 360 - np.arange(12).mean() / 12),
    ]
    np.testing.assert_allclose(found.position.components[1:, at], by_hand)


def test_a_shape_is_not_known_between_the_positions_it_is_given_at(tmp_path: Path) -> None:
    shape = Line("shape", standard_uncertainty=0.1, effect=Effect("shape", shape=tuple(range(12))))
    with played(tmp_path, parameters=Parameters(3)) as session:
        analysis = analyse(session.matrix.snapshot())
    found = of_measured(analysis, Budget(lines=(shape,)), "lower").position.expanded
    every = analysis.adjustment.measured("lower").at % 30 == 0
    assert np.isfinite(found[every]).all()
    assert np.isnan(found[~every]).all()


def test_corrections_at_fine_positions_from_any_zero(tmp_path: Path) -> None:
    with played(tmp_path, parameters=Parameters(3)) as session:
        analysis = analyse(session.matrix.snapshot())
    measured = analysis.adjustment.measured("lower")
    zero = measured_at(analysis, "lower", Fraction(45), "--from")
    table = corrections(analysis, Budget(), "lower", zero)
    assert [line.position for line in table[:3]] == [45, 46, 47]
    assert len(table) == len(measured.at)
    value = dict(zip(measured.at.tolist(), measured.position.value, strict=True))
    for line in table:
        assert line.error == pytest.approx(value[line.position] - value[45], abs=1e-9)
        assert line.nominal == pytest.approx((line.position - 45) % 360)
    assert table[0].error == table[0].expanded == 0
    assert measured_at(analysis, "lower", Fraction(-323), "--at") == 37
    for angle, near in ((61, "60° and 90°"), (345, "330° and 0°"), (Fraction("37.5"), "37° and 38°")):
        with pytest.raises(Refused, match="nothing of the lower circle was read") as refused:
            measured_at(analysis, "lower", Fraction(angle), "--at")
        assert near in (refused.value.remedy or "")


def test_the_debrief_compares_every_position_that_a_run_stops_at(tmp_path: Path) -> None:
    with played(tmp_path) as session:
        analysis = analyse(session.matrix.snapshot())
        told = debrief(session, analysis)
    assert told.turn == 360
    for circle in told.circles:
        read = analysis.adjustment.measured(circle.name).at
        assert circle.at[circle.known].tolist() == read.tolist()
        np.testing.assert_allclose(circle.solved[circle.known], circle.true[circle.known], atol=0.02)
    assert told.known == sum(len(analysis.adjustment.measured(name).at) for name in ("lower", "upper"))
