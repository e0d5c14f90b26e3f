"""What-if answers agree with doing it."""

from pathlib import Path

import numpy as np
import pytest

from sessions.analysis import analyse
from sessions.demo import copy_demo
from sessions.session import Session
from sessions.what_if import if_split, if_struck, without


@pytest.fixture
def demo(tmp_path: Path) -> Session:
    session = Session.open(copy_demo(tmp_path))
    yield session
    session.close()


def test_without_a_reading_is_the_same_as_striking_it(demo: Session) -> None:
    for number in [reading.number for reading in demo.matrix.readings(1, 4)]:
        tried = without(demo.matrix.snapshot(), number)
        demo.strike(number, "trial")
        struck = demo.matrix.snapshot()
        np.testing.assert_array_equal(tried.count, struck.count)
        np.testing.assert_allclose(tried.mean, struck.mean, atol=1e-12)
        np.testing.assert_allclose(tried.squares, struck.squares, atol=1e-12)
        assert (tried.accepted, tried.struck, tried.filled) == (struck.accepted, struck.struck, struck.filled)


def test_the_preview_of_a_strike_is_what_happens(demo: Session) -> None:
    snapshot = demo.matrix.snapshot()
    before = analyse(snapshot)
    number = demo.matrix.readings(2, 5)[0].number
    preview = if_struck(snapshot, before, number)
    demo.strike(number, "trial")
    after = analyse(demo.matrix.snapshot())
    assert preview.deviation_before == before.adjustment.standard_deviation
    assert preview.deviation_after == pytest.approx(after.adjustment.standard_deviation)
    moved = [
        getattr(after, name).position.value - getattr(before, name).position.value
        for name in ("lower", "upper")
    ]
    assert abs(preview.change) == pytest.approx(np.abs(moved).max())
    assert moved[["lower", "upper"].index(preview.circle)][preview.position] == pytest.approx(preview.change)
    assert preview.lost == 0


def test_the_preview_of_a_split_costs_one_degree_of_freedom(demo: Session) -> None:
    snapshot = demo.matrix.snapshot()
    analysis = analyse(snapshot)
    preview = if_split(snapshot, analysis, 2, 5)
    assert preview.freedom_after == analysis.adjustment.degrees_of_freedom - 1
