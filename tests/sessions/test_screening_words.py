"""What the screening rests on is said: in words, in the JSON, by the solve command."""

from __future__ import annotations

import json
import re
from pathlib import Path

import numpy as np
import pytest

from sessions.analysis import analyse
from sessions.demo import copy_demo
from sessions.design import Design
from sessions.header import Header
from sessions.screening_words import cautions, drifts, not_tested, too_close
from sessions.session import Session
from sessions.typed import wrong_reason
from tui.cli import main


@pytest.fixture
def demo(tmp_path: Path) -> Path:
    return copy_demo(tmp_path)


def changed(path: Path, *changes: tuple[str, str]) -> Path:
    """Change the file by hand, for which its checks are taken out."""
    text = re.sub("(?m)^check = .*\n", "", path.read_text(encoding="utf-8"))
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    path.write_text(text, encoding="utf-8")
    return path


def said(path: Path) -> tuple[str, tuple[str, ...]]:
    with Session.read(path) as session:
        analysis = analyse(session.matrix.snapshot())
    return " ".join(cautions(analysis)), not_tested(analysis)


def test_where_all_is_stated_and_agrees_there_is_nothing_to_say(
    demo: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert said(demo) == ("", ())
    main(["solve", str(demo)])
    shown = capsys.readouterr().out
    assert "not tested" not in shown
    assert not shown.endswith("\n\n")


def test_what_could_not_be_tested_is_named_with_its_reason(
    demo: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = changed(demo, ("range = 150.0\n", ""))
    assert said(path) == ("", ("range: the range of the instrument is not stated",))
    main(["solve", str(path)])
    assert capsys.readouterr().out.endswith(
        "\n\nnot tested, and why\n  range: the range of the instrument is not stated\n"
    )
    main(["solve", str(path), "--json"])
    assert json.loads(capsys.readouterr().out)["not_tested"] == [
        {"test": "range", "reason": "the range of the instrument is not stated"}
    ]


def test_readings_that_contradict_the_accepted_standard_deviation_say_so(
    demo: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = changed(demo, ("accepted_sd = 0.04\n", "accepted_sd = 0.004\n"))
    assert "contradict the accepted standard deviation of 0.004″" in said(path)[0]
    main(["solve", str(path), "--json"])
    assert json.loads(capsys.readouterr().out)["accepted_sd_contradicted"] is True


def test_without_a_reading_nothing_is_said(tmp_path: Path, demo: Path) -> None:
    empty = tmp_path / "empty.toml"
    with Session.read(demo) as session:
        Session.create(empty, session.header).close()
    assert said(empty) == ("", ())


@pytest.mark.parametrize(("apart", "said_so"), [(0.02, False), (4.0, True)])
def test_a_fit_better_than_the_repeats_allow_is_said(tmp_path: Path, apart: float, said_so: bool) -> None:
    """Means that close to 0.01″ with repeats that lie 4″ apart; the F test at 1 %, with 14 and 2 degrees of freedom."""
    design = Design(6, (0, 1), repeats=2)
    with Session.create(tmp_path / "a.toml", Header(design=design)) as session:
        for run in range(2):
            for step in range(7):
                mean = 1.0 + 0.01 * (step == 6)
                for sign in (-1, 1):
                    session.take(run, step, round(mean + sign * apart / 2, 3))
        analysis = analyse(session.matrix.snapshot())
    assert analysis.adjustment.degrees_of_freedom == 2
    assert bool(too_close(analysis)) == said_so
    if said_so:
        assert "2″ by the repeats" in too_close(analysis)
        assert "2 degrees of freedom" in too_close(analysis)


def test_a_drift_that_the_runs_show_is_named(tmp_path: Path) -> None:
    """0.03 arc seconds a reading, scatter 0.02: each of three runs of 13 readings closes 0.36 high."""
    rng = np.random.default_rng(2)
    for drift, told in ((0.03, True), (0.0, False)):
        with Session.create(tmp_path / f"{told}.toml", Header(design=Design(12, (0, 1, 4)))) as session:
            for run in range(3):
                for step in range(13):
                    session.take(run, step, round(drift * step + rng.normal(0, 0.02), 3))
            analysis = analyse(session.matrix.snapshot())
        assert bool(re.search(r"close with \+0\.3\d″ on average", drifts(analysis))) is told
        assert bool(drifts(analysis)) is told


def test_a_number_is_no_reason() -> None:
    assert wrong_reason("5.50")
    assert wrong_reason("-3")
    assert not wrong_reason("2 knocks at the door")
    assert not wrong_reason("vibration")
