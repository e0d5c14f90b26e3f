"""Tests of the model in words."""

from __future__ import annotations

from pathlib import Path

import pytest

from sessions.analysis import analyse
from sessions.model_checks import ModelCheck, model_checks
from sessions.session import Session
from tests.sessions.certified import header, taken
from tests.sessions.kit import Clock, QuickDisk


def checks(session: Session) -> dict[str, ModelCheck]:
    snapshot = session.matrix.snapshot()
    return {check.name: check for check in model_checks(session.entries, snapshot, analyse(snapshot))}


def test_a_good_session_holds(tmp_path: Path) -> None:
    with taken(tmp_path / "a.toml") as session:
        found = checks(session)
    assert len(found) == 6
    assert {check.verdict for check in found.values()} == {"holds", "not tested"}
    assert all(check.meaning.endswith(".") for check in found.values())
    assert found["scatter about the adjustment against the repeatability"].verdict == "not tested"
    assert found["residuals against temperature"].verdict == "not tested"


def test_more_scatter_than_accepted_stands_out(tmp_path: Path) -> None:
    with taken(tmp_path / "a.toml", noise=0.15) as session:
        check = checks(session)["scatter about the adjustment against the accepted standard deviation"]
    assert check.verdict == "stands out"
    assert "limit 1." in check.figures
    assert "loose" in check.meaning


def test_seating_beyond_the_repeats_is_usual(tmp_path: Path) -> None:
    plan = header(6, repeats=2)
    with taken(tmp_path / "a.toml", plan) as session:
        for run in range(6):
            for step in range(7):
                first = session.matrix.readings(run, step)[0].value
                session.take(run, step, round(first + (0.01 if (run + step) % 2 else -0.01), 2))
        check = checks(session)["scatter about the adjustment against the repeatability"]
    assert check.verdict == "usual"
    assert "seating" in check.meaning


def test_readings_that_follow_the_temperature(tmp_path: Path) -> None:
    plan = header(8)
    with Session.create(tmp_path / "a.toml", plan, clock=Clock(), disk=QuickDisk()) as session:
        for run in range(8):
            for step in range(9):
                # Warm in the middle of each run: no constant, drift or circle looks like that.
                warm = 20.0 + 0.02 * ((run * 3 + step * 5) % 11)
                session.conditions(warm)
                session.take(run, step, round(5 * (warm - 20) + 0.01 * ((run + 2 * step) % 3), 3))
        check = checks(session)["residuals against temperature"]
    assert check.verdict == "stands out"
    assert check.figures.startswith("+5")


@pytest.mark.parametrize("offsets", [(0,), (0, 1)])
def test_nothing_to_test(tmp_path: Path, offsets: tuple[int, ...]) -> None:
    plan = header(12, offsets=offsets, closing=False)
    with taken(tmp_path / "a.toml", plan) as session:
        found = checks(session)
    assert {check.verdict for check in found.values()} == {"not tested"}


def test_nothing_read(tmp_path: Path) -> None:
    with Session.create(tmp_path / "a.toml", header()) as session:
        assert {check.verdict for check in checks(session).values()} == {"not tested"}
