"""Extending a session: what each further offset gives, and adding one on record."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from sessions.analysis import Analysis, analyse
from sessions.design import Design
from sessions.equipment import Instrument
from sessions.extending import add_offset, outlook, reason_words, removable, remove_offset
from sessions.header import Header
from sessions.session import Session
from solver.refused import Refused
from tests.sessions.kit import Clock, QuickDisk

SD = 0.05


def begin(tmp_path: Path, design: Design, skip: tuple[tuple[int, int], ...] = (), runs: int = 99) -> Session:
    """Begin a session and read the first runs, some cells left out."""
    header = Header(design, instrument=Instrument(accepted_sd=SD))
    session = Session.create(tmp_path / "s.toml", header, clock=Clock(), disk=QuickDisk())
    random = np.random.default_rng(4)
    for run in range(min(design.run_count, runs)):
        for step in design.steps:
            if (run, step) not in skip:
                session.take(run, step, round(float(random.normal(0, SD)), 3))
    return session


def analysed(session: Session) -> Analysis:
    return analyse(session.matrix.snapshot())


@pytest.mark.parametrize(
    ("design", "skip"),
    [
        (Design(8, (0, 1)), ()),
        (Design(8, (0, 1, 3)), ((0, 3), (2, 8), (1, 0))),
        (Design(8, (0, 1), direction="forward and return"), ((3, 2),)),
        (Design(6, (0, 1, 3), reading="interval"), ((2, 4),)),
        (Design(6, (0, 0), closure="single", reading="interval"), ()),
        (Design(8, (0, 1, 3), closing=False, arrangement="face by face"), ()),
    ],
)
def test_what_is_promised_comes_true_once_the_run_is_read(
    tmp_path: Path, design: Design, skip: tuple[tuple[int, int], ...]
) -> None:
    """The adjustment after the run, made by another way, has the uncertainties that were promised before."""
    session = begin(tmp_path, design, skip)
    before = analysed(session)
    found = outlook(before)
    best = found.candidates[0]
    add_offset(session, best.offset, "helps most")
    for run in range(design.run_count, session.header.design.run_count):
        for step in design.steps:
            session.take(run, step, 0.0)
    after = analysed(session)
    assert best.readings == after.cells.count.sum() - before.cells.count.sum()
    for now, then, circle, later in (
        (found.now.lower, best.then.lower, before.adjustment.lower, after.adjustment.lower),
        (found.now.upper, best.then.upper, before.adjustment.upper, after.adjustment.upper),
    ):
        if circle is None or later is None:
            assert design.closure == "single"
            assert np.isnan(then)
            continue
        roots = circle.position.root, later.position.root
        assert now == pytest.approx(before.deviation * np.sqrt(np.mean(roots[0] ** 2)), nan_ok=True)
        assert then == pytest.approx(before.deviation * np.sqrt(np.mean(roots[1] ** 2)))


def test_every_candidate_is_weighed_and_the_best_comes_first(tmp_path: Path) -> None:
    """{0, 1} of 7 and 3 make a perfect difference set (published, combinatorial design theory)."""
    session = begin(tmp_path, Design(7, (0, 1)))
    found = outlook(analysed(session))
    assert sorted(each.offset for each in found.candidates) == list(range(7))
    assert found.candidates[0].offset in (3, 5)
    gains = [each.then.lower + each.then.upper for each in found.candidates]
    assert gains == sorted(gains)
    assert gains[0] < found.now.lower + found.now.upper


def test_gaps_count_as_gaps_until_they_count_as_read(tmp_path: Path) -> None:
    session = begin(tmp_path, Design(8, (0, 1, 3)), skip=((1, 2), (2, 5), (2, 6)))
    as_read, as_planned = outlook(analysed(session)), outlook(analysed(session), planned=True)
    assert as_read.to_read == as_planned.to_read == 3
    assert as_planned.now.lower < as_read.now.lower
    assert as_planned.candidates[0].then.lower < as_read.candidates[0].then.lower


def test_an_offset_that_is_planned_and_not_begun_is_named(tmp_path: Path) -> None:
    session = begin(tmp_path, Design(8, (0, 1, 3)), runs=2)
    unread = {each.offset: each.unread for each in outlook(analysed(session)).candidates}
    assert unread == {offset: (2,) if offset == 3 else () for offset in range(8)}
    assert not any(each.unread for each in outlook(analysed(session), planned=True).candidates)


def test_one_offset_determines_nothing_and_the_second_everything(tmp_path: Path) -> None:
    session = begin(tmp_path, Design(12, (0,)))
    found = outlook(analysed(session))
    assert found.missing > 0
    assert np.isnan(found.now.lower)
    assert {each.offset for each in found.candidates if not each.missing} == {1, 5, 7, 11}
    assert all(np.isfinite(each.then.lower) == (not each.missing) for each in found.candidates)


def test_nothing_read_yet_is_no_obstacle(tmp_path: Path) -> None:
    found = outlook(analysed(begin(tmp_path, Design(8, (0, 1)), runs=0)))
    assert (found.to_read, len(found.candidates)) == (18, 8)
    assert all(each.missing for each in found.candidates)


def test_without_a_deviation_uncertainties_are_in_units_of_it(tmp_path: Path) -> None:
    header = Header(Design(8, (0, 1), closing=False))
    with Session.create(tmp_path / "s.toml", header, clock=Clock(), disk=QuickDisk()) as session:
        for run in range(2):
            for step in range(8):
                session.take(run, step, 0.1 * step * run)
        found = outlook(analysed(session))
    assert np.isnan(found.deviation)
    # Two offsets 1 apart, variance about the mean: mean of 1/(2 - |D|²/2) over the frequencies, divided by n.
    f = np.arange(1, 8)
    expected = np.sum(1 / (2 - (2 + 2 * np.cos(2 * np.pi * f / 8)) / 2)) / 8
    assert found.now.lower**2 == pytest.approx(expected)


def test_adding_and_taking_back_are_entries(tmp_path: Path) -> None:
    session = begin(tmp_path, Design(8, (0, 1)))
    assert removable(session) is None
    add_offset(session, 3, "to see bad readings")
    assert session.header.design.offsets == (0, 1, 3)
    assert removable(session) == 3
    remove_offset(session, "no time")
    assert session.header.design.offsets == (0, 1)
    add_offset(session, 5, "time after all")
    session.close()
    with Session.read(session.path) as again:
        assert again.header.design.offsets == (0, 1, 5)
        assert [type(entry).__name__ for entry in again.entries[-3:]] == ["Amend"] * 3


def test_an_offset_that_holds_anything_stays(tmp_path: Path) -> None:
    session = begin(tmp_path, Design(8, (0, 1), direction="forward and return"), runs=2)
    assert removable(session) == 1
    reading = session.take(3, 2, 0.1)
    session.strike(reading.number, "struck readings hold their place as well")
    before = session.path.read_bytes()
    assert removable(session) is None
    with pytest.raises(Refused, match="cannot be taken away"):
        remove_offset(session, "no time")
    assert session.path.read_bytes() == before


def test_the_only_offset_stays(tmp_path: Path) -> None:
    with begin(tmp_path, Design(8, (0,)), runs=0) as session, pytest.raises(Refused):
        remove_offset(session, "no time")


def test_an_offset_that_leaves_as_much_open_is_said_to_check(tmp_path: Path) -> None:
    """Offsets that are all multiples of 4 of 12 leave the four classes of positions loose (own reasoning)."""
    found = outlook(analysed(begin(tmp_path, Design(12, (0, 4)))), shown=12)
    eight = next(each for each in found.candidates if each.offset == 8)
    assert eight.missing == found.missing > 0
    said = reason_words(eight, found, "{:.4f}″".format)
    assert said == "checks the readings there are, and determines no further error"
    one = next(each for each in found.candidates if each.offset == 1)
    assert reason_words(one, found, "{:.4f}″".format) == "determines every error"


def test_an_offset_that_leaves_nothing_open_is_said_to_lower_the_uncertainty(tmp_path: Path) -> None:
    found = outlook(analysed(begin(tmp_path, Design(12, (0, 1)))))
    best = found.candidates[0]
    before, after = max(found.now.lower, found.now.upper), max(best.then.lower, best.then.upper)
    said = reason_words(best, found, "{:.4f}″".format)
    assert said == f"lowers u of a position from {before:.4f}″ to {after:.4f}″"
