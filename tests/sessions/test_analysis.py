"""From a session to its results."""

import csv
import json
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest

from sessions.analysis import analyse
from sessions.budget_lines import starting_lines
from sessions.design import Design
from sessions.entries import Reading
from sessions.equipment import Instrument
from sessions.header import Header
from sessions.matrix import Matrix
from sessions.result import result
from sessions.session import Session
from solver.closure import Drift
from tests.sessions.certified import certified
from tests.sessions.certified import header as certified_header
from tui.solve_text import solve_text

PUBLISHED = Path(__file__).parents[1] / "published"


def session(
    path: Path, design: Design, readings: list[tuple[int, int, float]], **instrument: object
) -> Session:
    """Write a session of these readings."""
    made = Session.create(path / "s.toml", Header(design=design, instrument=Instrument(**instrument)))
    for run, step, value in readings:
        made.take(run, step, value)
    return made


def solved(made: Session) -> dict[str, object]:
    snapshot = made.matrix.snapshot()
    # Through text and back: what cannot be written as JSON fails here.
    return json.loads(json.dumps(result(snapshot, analyse(snapshot)), allow_nan=False))


def latin() -> list[tuple[int, int, float]]:
    """Step = row, upper position = column, offset = step + upper position (treatment)."""
    with (PUBLISHED / "latin_square_5x5.csv").open() as file:
        return [
            ((int(row["row"]) + int(row["col"]) - 2) % 5, int(row["row"]) - 1, float(row["y"]))
            for row in csv.DictReader(file)
        ]


LATIN = Design(positions=5, offsets=(0, 1, 2, 3, 4), closing=False)


def test_the_handbooks_latin_square(tmp_path: Path) -> None:
    """Montgomery, Design and Analysis of Experiments, rocket propellant example (read in course copies; recomputed)."""
    made = solved(session(tmp_path, LATIN, latin()))
    assert made["degrees_of_freedom"] == 12
    assert made["rank"] == 13
    assert made["standard_deviation"] == pytest.approx(3.265986, abs=1e-6)
    circles = made["circles"]
    assert circles["lower"]["position_error"] == pytest.approx([-3.2, 1.4, 0.6, 0.2, 1.0])
    assert circles["upper"]["position_error"] == pytest.approx([-4.0, 3.2, -1.2, 0.6, 1.4])
    assert circles["lower"]["standard_uncertainty"] == pytest.approx([1.306395] * 5, abs=1e-6)
    assert circles["lower"]["from_first_standard_uncertainty"][1:] == pytest.approx([2.065591] * 4, abs=1e-6)
    assert circles["lower"]["from_first"][0] == circles["lower"]["from_first_standard_uncertainty"][0] == 0
    constants = [run["constant"] - 25.4 for run in made["runs"]]
    assert constants == pytest.approx([3.2, -5.2, -3.0, 4.4, 0.6])


def test_the_latin_square_with_a_missing_cell(tmp_path: Path) -> None:
    """Row 3, column 2 missing: error SS 87.666667 on 11 degrees of freedom (Allan and Wishart 1930; recomputed)."""
    readings = [reading for reading in latin() if reading[:2] != (3, 2)]
    made = solved(session(tmp_path, LATIN, readings))
    assert made["cells"] == {"planned": 25, "filled": 24}
    assert made["degrees_of_freedom"] == 11
    assert made["standard_deviation"] ** 2 * 11 == pytest.approx(87.666667, abs=1e-6)


def test_what_is_not_determined_is_null(tmp_path: Path) -> None:
    design = Design(positions=4, offsets=(0, 1), closing=True)
    made = solved(session(tmp_path, design, [(0, step, 1.0 + step) for step in range(5)]))
    assert made["determined"] is False
    assert made["circles"]["lower"]["position_error"] == [None] * 4
    assert made["circles"]["lower"]["from_first"] == [0, None, None, None]
    assert made["circles"]["lower"]["from_first_standard_uncertainty"] == [0, None, None, None]
    assert made["runs"][0]["closing_misfit"] == pytest.approx(4.0)
    assert made["runs"][1]["constant"] is None
    assert "second offset" in made["missing"][0]


def test_nothing_at_all(tmp_path: Path) -> None:
    made = solved(session(tmp_path, LATIN, []))
    assert made["cells"]["filled"] == 0
    assert made["standard_deviation"] is None


def test_without_degrees_of_freedom_the_accepted_standard_deviation_stands_in(tmp_path: Path) -> None:
    design = Design(positions=5, offsets=(0, 1), closing=False)
    readings = [reading for reading in latin() if reading[0] < 2]
    without = solved(session(tmp_path, design, readings))
    assert without["degrees_of_freedom"] == 0
    assert without["standard_deviation"] is None
    assert without["circles"]["lower"]["standard_uncertainty"] == [None] * 5
    assert None not in without["circles"]["lower"]["position_error"]
    (tmp_path / "b").mkdir()
    accepted = solved(session(tmp_path / "b", design, readings, accepted_sd=3.0, unit="urad"))
    known = accepted["circles"]["lower"]["standard_uncertainty"]
    assert None not in known
    variance = analyse(session_snapshot(design, readings)).adjustment.lower.position.root
    assert known == pytest.approx(list(variance * 3.0 * 0.206264806247))


def session_snapshot(design: Design, readings: list[tuple[int, int, float]]) -> object:
    matrix = Matrix(Header(design=design))
    for number, (run, step, value) in enumerate(readings, start=1):
        matrix.add(Reading(number, datetime(2026, 3, 2, tzinfo=UTC), run, step, value))
    return matrix.snapshot()


def test_microradians_are_solved_in_arc_seconds(tmp_path: Path) -> None:
    (tmp_path / "b").mkdir()
    arcsec = solved(session(tmp_path, LATIN, latin()))
    urad = solved(
        session(tmp_path / "b", LATIN, [(r, s, v / 0.206264806247) for r, s, v in latin()], unit="urad")
    )
    assert urad["circles"]["upper"]["position_error"] == pytest.approx(
        arcsec["circles"]["upper"]["position_error"]
    )
    assert urad["standard_deviation"] == pytest.approx(arcsec["standard_deviation"])
    assert urad["runs"][2]["constant"] == pytest.approx(arcsec["runs"][2]["constant"])


def test_struck_is_never_typed(tmp_path: Path) -> None:
    (tmp_path / "b").mkdir()
    clean = solved(session(tmp_path, LATIN, latin()))
    made = session(tmp_path / "b", LATIN, latin())
    slip = made.take(2, 2, 400.0)
    made.strike(slip.number, "typing slip")
    struck = solved(made)
    assert struck["readings"] == {"accepted": 25, "struck": 1}
    assert struck | {"readings": None} == clean | {"readings": None}


def test_polarity_turns_the_errors_about(tmp_path: Path) -> None:
    (tmp_path / "b").mkdir()
    plus = solved(session(tmp_path, LATIN, latin()))
    minus = solved(session(tmp_path / "b", LATIN, latin(), polarity=-1))
    negated = [-value for value in plus["circles"]["lower"]["position_error"]]
    assert minus["circles"]["lower"]["position_error"] == pytest.approx(negated)
    assert minus["runs"][0]["constant"] == pytest.approx(plus["runs"][0]["constant"])


def test_single_closure_reports_the_fixed_angle(tmp_path: Path) -> None:
    design = Design(positions=4, offsets=(0,), closure="single", reading="interval")
    made = solved(
        session(tmp_path, design, [(0, t, value) for t, value in enumerate((1.0, 2.0, 4.0, 5.0), 1)])
    )
    # Section 2: x = -p mean(y), b = y - mean(y) for polarity +1.
    assert made["reference_angle_error"] == pytest.approx(-3.0)
    assert made["circles"]["lower"]["interval_error"] == pytest.approx([-2.0, -1.0, 1.0, 2.0])
    assert made["circles"]["upper"] is None
    assert made["degrees_of_freedom"] == 0


def test_a_split_gives_the_rest_of_a_run_its_own_constant() -> None:
    readings = [(r, s, v + (1000.0 if (r, s >= 2) == (1, True) else 0.0)) for r, s, v in latin()]
    matrix = Matrix(Header(design=LATIN))
    for number, (run, step, value) in enumerate(readings, start=1):
        matrix.add(Reading(number, datetime(2026, 3, 2, tzinfo=UTC), run, step, value))
    matrix.split(1, 2)
    analysis = analyse(matrix.snapshot())
    assert analysis.adjustment.degrees_of_freedom == 11
    assert analysis.adjustment.standard_deviation < 10
    step = analysis.adjustment.constant.value[5] - analysis.adjustment.constant.value[1]
    assert step == pytest.approx(1000, abs=20)
    assert analysis.group_of(1, 1) == 1
    assert analysis.group_of(1, 2) == 5


def test_a_split_run_has_no_closing_misfit_and_its_knock_is_no_drift(tmp_path: Path) -> None:
    with certified(tmp_path / "a.toml", certified_header(6)) as session:
        readings = [(r.number, r.value, s) for s in range(4, 7) for r in session.matrix.readings(1, s)]
        for number, value, step in readings:
            session.strike(number, "to be knocked")
            session.take(1, step, value + 2.5)
        session.split(1, 4, "mirror knocked")
        found = analyse(session.matrix.snapshot())
        made = result(session.matrix.snapshot(), found)
        [drift] = [line for line in starting_lines(session.entries, found) if line.name == "residual drift"]
    assert np.flatnonzero(np.isnan(found.closing_misfit)).tolist() == [1]
    assert made["runs"][1]["closing_misfit"] is None
    [split] = made["runs"][1]["splits"]
    assert split["step"] == 4
    assert split["constant"] - made["runs"][1]["constant"] == pytest.approx(2.5, abs=0.15)
    assert drift.standard_uncertainty is not None
    assert drift.standard_uncertainty < 0.1


@pytest.mark.parametrize("struck", [False, True], ids=["nothing read", "all struck"])
def test_the_constant_of_a_part_without_readings_is_not_determined(tmp_path: Path, struck: bool) -> None:
    """By the definition of a split: what lies before it is solved as if the run ended there."""
    ended = [reading for reading in latin() if not (reading[0] == 4 and reading[1] >= 3)]
    (tmp_path / "b").mkdir()
    without = solved(session(tmp_path / "b", LATIN, ended))
    made = session(tmp_path, LATIN, latin() if struck else ended)
    for number in [r.number for step in (3, 4) for r in made.matrix.readings(4, step)]:
        made.strike(number, "knocked")
    made.split(4, 3, "knocked")
    found = solved(made)
    assert found["runs"][4]["splits"] == [{"step": 3, "constant": None}]
    assert found["runs"][4]["constant"] == pytest.approx(without["runs"][4]["constant"])
    assert found["rank"] == without["rank"]
    snapshot = made.matrix.snapshot()
    said = solve_text(snapshot, analyse(snapshot))
    assert "run 4 is split: from step 3 on the constant is not determined" in said


@pytest.mark.parametrize("drift", ["none", "linear"])
def test_a_steady_drift_is_said_alike_whichever_way_a_run_was_read(tmp_path: Path, drift: Drift) -> None:
    """0.02 arc seconds a reading: each run of seven readings ends 0.12 above its beginning (by hand)."""
    design = Design(6, (0, 1, 2), direction="forward and return", drift=drift)
    readings = [
        (run.number, step, 0.02 * turn)
        for run in design.runs
        for turn, step in enumerate(design.steps_of(run.number)[:: -1 if run.direction == "return" else 1])
    ]
    with session(tmp_path, design, readings) as made:
        snapshot = made.matrix.snapshot()
        analysis = analyse(snapshot)
    assert analysis.misfit_as_read == pytest.approx([0.12] * 6)
    # The step of a return run is that of its settings: there both count from step 0.
    assert analysis.closing_misfit == pytest.approx([0.12, -0.12] * 3)
    told = [line for line in solve_text(snapshot, analysis).splitlines() if " return " in line]
    assert len(told) == 3
    if drift == "linear":
        assert analysis.drift_as_read == pytest.approx([0.02] * 6)
        assert all(line.split()[-2:] == ["0.0200", "0.120"] for line in told)
    else:
        assert all(line.split()[-1].startswith("0.1") for line in told)


def test_drifts_of_intervals_are_said(tmp_path: Path) -> None:
    """0.5 arc seconds in each interval of the second run, by hand."""
    design = Design(5, (0, 1, 2), reading="interval", closing=False, drift="linear")
    readings = [(run, step, 0.5 * (run == 1)) for run in range(3) for step in range(1, 6)]
    with session(tmp_path, design, readings) as made:
        snapshot = made.matrix.snapshot()
        text = solve_text(snapshot, analyse(snapshot))
    assert [line.split() for line in text.splitlines() if " forward " in line] == [
        [str(run), str(run), "forward", "0.5000" if run == 1 else "0.0000"] for run in range(3)
    ]
