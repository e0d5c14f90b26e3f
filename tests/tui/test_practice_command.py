"""`fullturn practice` as typed."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from sessions.header import Header
from sessions.practice.bench import PracticeBench
from sessions.practice.parameters import Parameters, parameters_of
from sessions.session import Session
from tests.sessions.practice_kit import DESIGNS, first_slip
from tests.tui.test_cli import run
from tui import cli
from tui.cli import main


def written(path: Path, *words: str) -> Session:
    """Write a simulated session and read it."""
    assert main(["practice", "-o", str(path), *words]) == 0
    return Session.read(path)


def test_a_whole_session_is_written(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    session = written(tmp_path / "a.toml", "--seed", "7")
    out, error = capsys.readouterr()
    assert error == ""
    assert out == f"{tmp_path / 'a.toml'}: 27 readings; 8 positions; offsets 0, 1, 3; seed 7\n"
    assert session.matrix.filled == 27
    assert parameters_of(session.entries) == Parameters(7)
    assert main(["solve", str(session.path), "--json"]) in (0, 1)  # the lazy tooth may look suspect
    assert json.loads(capsys.readouterr().out)["degrees_of_freedom"] == 10


def test_the_same_seed_gives_the_same_readings(tmp_path: Path) -> None:
    one, other = (written(tmp_path / name, "--seed", "7", "--slips") for name in ("a.toml", "b.toml"))
    assert [each.reading.value for each in PracticeBench(one).taken] == [
        each.reading.value for each in PracticeBench(other).taken
    ]
    third = written(tmp_path / "c.toml")
    fourth = written(tmp_path / "d.toml")
    assert parameters_of(third.entries) != parameters_of(fourth.entries)


def test_every_option_is_taken(tmp_path: Path) -> None:
    words = (
        "--positions 12 --offsets 0,1 4 --repeats 2 --arrangement face-by-face --direction forward-and-return"
    )
    more = "--no-closing --seed 9 --calm --slips --errors 0.5 --within 0.01 --seating 0.02"
    session = written(tmp_path / "a.toml", *words.split(), *more.split())
    design = session.header.design
    assert (design.positions, design.offsets, design.repeats, design.closing) == (12, (0, 1, 4), 2, False)
    assert (design.arrangement, design.direction) == ("face by face", "forward and return")
    parameters = parameters_of(session.entries)
    assert parameters is not None
    assert (parameters.seed, parameters.errors, parameters.within, parameters.seating) == (9, 0.5, 0.01, 0.02)
    assert (parameters.drift, parameters.turbulence, parameters.lazy) == (0, 0, 0)
    assert parameters.slips > 0
    assert session.matrix.accepted == 144


@pytest.mark.parametrize(
    "words", ["--offsets all --reading interval --positions 4", "--closure single --positions 4"]
)
def test_other_plans(tmp_path: Path, words: str) -> None:
    session = written(tmp_path / "a.toml", *words.split())
    assert session.header.design.reading == "interval"
    assert session.matrix.filled == session.header.design.planned_cells


def test_the_truth_beside_the_solved_errors(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    session = written(tmp_path / "a.toml", "--seed", "7", "--calm")
    stack = PracticeBench(session).stack
    capsys.readouterr()
    assert main(["practice", "--truth", str(session.path)]) == 0
    out = capsys.readouterr().out
    assert max(map(len, out.splitlines())) <= 80
    row = next(line for line in out.splitlines() if line.split()[:2] == ["2", "90°"])
    assert float(row.split()[2].replace("−", "-")) == pytest.approx(stack.lower[2], abs=5.1e-4)
    assert "of 16 true errors lie within U of the solved ones; with U at 95.45 % about 15" in out
    assert main(["practice", "--truth", str(session.path), "--json"]) == 0
    table = json.loads(capsys.readouterr().out)
    assert (table["format"], table["version"], table["seed"]) == ("fullturn practice", 1, 7)
    assert table["circles"]["upper"]["true_position_error"] == pytest.approx(stack.upper.tolist())


def test_a_mistyped_reading_gives_status_1(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = written(tmp_path / "a.toml", "--seed", "7", "--calm").path
    with Session.open(path) as session:
        session.take(0, 0, 1.0)
    capsys.readouterr()
    assert main(["practice", "--truth", str(path)]) == 1
    assert "run 0 step 0: typed +1.00, shown was" in capsys.readouterr().out


def test_a_missed_slip_gives_status_1(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Of two offsets no reading checks another, so a slip goes unnoticed."""
    design = DESIGNS[0]
    for seed in range(first_slip("decimal", design)[0].seed, 40):
        path = written(tmp_path / f"{seed}.toml", "--offsets", "0", "1", "--seed", str(seed), "--slips").path
        capsys.readouterr()
        status = main(["practice", "--truth", str(path)])
        if "missed" in capsys.readouterr().out:
            assert status == 1
            return
        assert status == 0
    raise AssertionError("no slip was ever missed")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("--positions 1", "--positions"),
        ("--positions 1441", "--positions"),
        ("--positions 8.0", "whole number"),
        ("--offsets 0 9", "--offsets"),
        ("--offsets 0 2", "0 1"),
        ("--repeats 0", "--repeats"),
        ("--seed -1", "seed"),
        ("--within -1", "within"),
        ("--seating nan", "seating"),
        ("--errors 1,5", "1.5"),
        ("--closure triple", "dual"),
        ("--closure single --reading position", "--reading"),
        ("--reading interval --direction forward-and-return", "--direction"),
        ("--json", "--truth"),
        ("--truth nowhere.toml", "nowhere.toml"),
        ("extra", "extra"),
    ],
)
def test_what_makes_no_sense_is_refused_in_one_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], words: str, said: str
) -> None:
    output = [] if words.startswith(("--json", "--truth")) else ["-o", str(tmp_path / "a.toml")]
    assert main(["practice", *words.split(), *output]) == 2
    out, error = capsys.readouterr()
    assert out == ""
    assert error.count("\n") == 1
    assert said in error
    assert not list(tmp_path.iterdir())


def test_nothing_is_written_over(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "a.toml"
    path.write_text("mine", encoding="utf-8")
    assert main(["practice", "-o", str(path)]) == 2
    assert "a.toml" in capsys.readouterr().err
    assert path.read_text(encoding="utf-8") == "mine"


def test_a_session_that_is_not_simulated_has_no_truth(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    Session.create(tmp_path / "a.toml", Header(DESIGNS[0])).close()
    assert main(["practice", "--truth", str(tmp_path / "a.toml")]) == 2
    assert "not simulated" in capsys.readouterr().err


@pytest.mark.parametrize("words", [[], ["--seed", "3"]])
def test_without_a_terminal_nothing_is_left_behind(tmp_path: Path, words: list[str]) -> None:
    done = run("practice", *words, FULLTURN_FOLDER=str(tmp_path))
    assert done.returncode == 2
    assert "needs a terminal" in done.stderr
    assert list(tmp_path.iterdir()) == []


def test_the_screen_begins_with_the_menu_or_at_a_bench(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    begun: list[tuple[Path | None, bool]] = []

    class App:
        refused = None
        begin_with_practice = False

        def __init__(self, _folder: Path, path: Path | None, *_: bool) -> None:
            self._path = path

        def run(self) -> None:
            begun.append((self._path, self.begin_with_practice))

    monkeypatch.setattr("tui.app.FullturnApp", App)
    monkeypatch.setattr(cli, "ready_screen", lambda: None)
    assert main(["practice", "--folder", str(tmp_path)]) == 0
    assert main(["practice", "--folder", str(tmp_path), "--slips"]) == 0
    assert main(["--folder", str(tmp_path), "practice", "--positions", "6"]) == 0
    # 0 is a choice as well.
    assert main(["practice", "--folder", str(tmp_path), "--seed", "0"]) == 0
    benches = [tmp_path / f"practice{number}.toml" for number in ("", "-2", "-3")]
    assert begun == [(None, True), *((bench, False) for bench in benches)]
    with Session.read(tmp_path / "practice-2.toml") as session:
        assert (session.header.design.positions, session.matrix.filled) == (6, 0)


def test_finer_steps_are_practised_too(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = str(tmp_path / "arc.toml")
    assert main(["practice", "--subdivide", "6", "--seed", "4", "--calm", "-o", path]) == 0
    assert "6 runs over an arc in 6 fine steps" in capsys.readouterr().out
    assert main(["practice", "--truth", path, "--json"]) == 0
    truth = json.loads(capsys.readouterr().out)
    assert truth["positions_to_the_circle"] == 48
    lower = truth["circles"]["lower"]
    assert lower["position"][:8] == [0, 1, 2, 3, 4, 5, 6, 12]
    assert all(value is not None for value in lower["position_error"][:7])
    assert main(["practice", "--truth", path]) == 0
    assert "\n   1     7.5°" in capsys.readouterr().out


@pytest.mark.parametrize(
    "words", [["1"], ["99999"], ["6", "--closure", "single"], ["6", "--reading", "interval"]]
)
def test_finer_steps_that_cannot_be_are_refused(words: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["practice", "--subdivide", *words, "-o", "never.toml"]) == 2
    said = capsys.readouterr().err
    assert "--subdivide" in said
    assert said.count("\n") == 1
