"""Arcs in fine steps, solved together with the runs round the circle.

Checked against a dense least squares written out from the formulas of a reading (`solver.closure`), against
simulation, and against a complete closure of the same circles at every fine position.
"""

from __future__ import annotations

import numpy as np
import pytest

from solver.adjust import Adjustment, adjust
from solver.between import between
from solver.cells import Cells, gather
from solver.changes import Change, possible, settings
from solver.closure import Closure
from solver.flags import Readings
from solver.refused import Refused
from solver.runs import Runs, arcs
from solver.screen import screen

TRIAL = (0, 1, 4, 10, 18, 30)


def plan(
    closure: Closure, offsets: tuple[int, ...], starts: tuple[int, ...], shifts: tuple[int, ...]
) -> Runs:
    """Return runs round the circle and, over the arc that begins at each start, one at each shift."""
    pairs = np.array([(start, shift) for start in starts for shift in shifts], dtype=np.int64)
    return Runs.of(closure, np.array(offsets)).join(arcs(closure, pairs[:, 0], pairs[:, 1]))


def places(runs: Runs, closing: int) -> tuple[np.ndarray, np.ndarray]:
    """Return run and step of every setting, with closing readings in the first runs."""
    run, step = runs.planned()
    return np.append(run, np.arange(closing)), np.append(step, runs.settings[:closing])


def settings_of(
    closure: Closure, runs: Runs, run: np.ndarray, step: np.ndarray
) -> tuple[list[int], list[int]]:
    """Return lower and upper fine position of cells, each from its definition."""
    lower, upper = [], []
    for r, t in zip(run, step, strict=True):
        at = int(runs.start[r] + runs.stride[r] * (t if t < runs.settings[r] else 0))
        turn = -1 if closure.arrangement == "counter-rotating" else 1
        lower.append(at % closure.fine)
        upper.append(int(runs.offset[r] + turn * at) % closure.fine)
    return lower, upper


def solved(closure: Closure, runs: Runs, closing: int = 0, value: np.ndarray | None = None) -> Adjustment:
    run, step = places(runs, closing)
    return adjust(closure, runs, gather(run, step, np.zeros(len(run)) if value is None else value))


def test_the_trial() -> None:
    """The figures of the trial that the work was planned by: 225 readings, 0.83 σ²."""
    closure = Closure(12, subdivision=30)
    runs = plan(closure, (0, 1, 4), (0,), TRIAL)
    found = solved(closure, runs, closing=3)
    assert len(places(runs, 3)[0]) == 225
    assert found.determined
    inside = found.measured("lower").from_first.root[:31] ** 2
    assert inside.max() == pytest.approx(0.83, abs=0.005)


@pytest.mark.parametrize("shifts", [(0, 30), (0, 3, 6, 12, 18, 30)])
def test_arcs_that_leave_errors_open(shifts: tuple[int, ...]) -> None:
    closure = Closure(12, subdivision=30)
    found = solved(closure, plan(closure, (0, 1, 4), (0,), shifts), closing=3)
    assert not found.determined
    # The positions of the whole circle are determined all the same, and only those.
    assert found.lower.position.determined
    fine = found.measured("lower")
    known = np.isfinite(fine.position.value)
    np.testing.assert_array_equal(
        known[:31], np.arange(31) % 30 == 0 if shifts == (0, 30) else np.arange(31) % 3 == 0
    )


@pytest.mark.parametrize("arrangement", ["counter-rotating", "face by face"])
@pytest.mark.parametrize("drift", ["none", "linear"])
def test_against_dense_least_squares(arrangement: str, drift: str) -> None:
    closure = Closure(6, subdivision=5, arrangement=arrangement, drift=drift, polarity=-1)  # type: ignore[arg-type]
    runs = plan(closure, (0, 1, 3, 4), (5, 10), (0, 1, 4, 7))
    rng = np.random.default_rng(20260302)
    run, step = places(runs, 12)
    keep = np.sort(rng.permutation(len(run))[9:])
    run, step = run[keep], step[keep]
    value = rng.normal(size=len(run)) + 100 * run
    found = adjust(closure, runs, gather(run, step, value, runs=len(runs)))

    fine, count = closure.fine, len(runs)
    design = np.zeros((len(run), 2 * fine + 2 * count))
    for i, (low, up) in enumerate(zip(*settings_of(closure, runs, run, step), strict=True)):
        design[i, low] += -1
        design[i, fine + up] += -1 if arrangement == "counter-rotating" else 1
        design[i, 2 * fine + run[i]] = 1
        design[i, 2 * fine + count + run[i]] = step[i] if drift == "linear" else 0
    left, singular, right = np.linalg.svd(design, full_matrices=False)
    rank = int(np.count_nonzero(singular > 1e-9 * singular[0]))
    pinv = (right[:rank].T / singular[:rank]) @ left[:, :rank].T
    estimate, cofactor = pinv @ value, (right[:rank].T / singular[:rank] ** 2) @ right[:rank]
    assert found.rank == rank
    null = np.linalg.svd(design)[2][rank:]
    np.testing.assert_allclose(
        found.residual[np.lexsort((found_step(found), found_run(found)))],
        (value - design @ estimate)[np.lexsort((step, run))],
        atol=1e-9,
    )
    main, determined = np.arange(0, fine, closure.subdivision), 0
    for circle, name in enumerate(("lower", "upper")):
        measured = found.measured(name)
        mean, first = np.zeros(design.shape[1]), np.zeros(design.shape[1])
        mean[circle * fine + main] = 1 / len(main)
        first[circle * fine] = 1
        for at, *results in zip(
            measured.at,
            measured.position.value, measured.position.root,
            measured.from_first.value, measured.from_first.root,
            strict=True,
        ):  # fmt: skip
            unit = np.zeros(design.shape[1])
            unit[circle * fine + at] = 1
            expected = []
            for row in (unit - mean, unit - first):
                known = np.linalg.norm(null @ row) < 1e-9
                expected += (
                    [row @ estimate, np.sqrt(max(row @ cofactor @ row, 0.0))] if known else [np.nan] * 2
                )
            np.testing.assert_allclose(results, expected, atol=1e-8)
            determined += np.isfinite(results).sum()
    assert determined > 100
    # The constants are those beside the errors about the mean of the positions round the circle.
    signs = (-1.0, -1.0 if arrangement == "counter-rotating" else 1.0)
    for number in range(count):
        row = np.zeros(design.shape[1])
        row[2 * fine + number] = 1
        for circle, sign in enumerate(signs):
            row[circle * fine + main] = sign / len(main)
        known = np.linalg.norm(null @ row) < 1e-9
        assert np.isfinite(found.constant.value[number]) == known
        if known:
            np.testing.assert_allclose(found.constant.value[number], row @ estimate, atol=1e-8)
            np.testing.assert_allclose(found.constant.root[number], np.sqrt(row @ cofactor @ row), atol=1e-8)


def found_run(found: Adjustment) -> np.ndarray:
    return np.asarray(found.fit.equations.rows.group)


def found_step(found: Adjustment) -> np.ndarray:
    return np.asarray(found.fit.equations.rows.time)


def readings(
    closure: Closure, runs: Runs, run: np.ndarray, step: np.ndarray, beta: np.ndarray, alpha: np.ndarray
) -> np.ndarray:
    low, up = settings_of(closure, runs, run, step)
    return np.asarray(beta[low] + closure.upper_sign * alpha[up] + 3.0 * run)


def test_the_covariance_by_simulation() -> None:
    """Of 4,000 simulated sessions, the scatter of each solved error is the one stated, within 4 of its own sigmas."""
    closure = Closure(6, subdivision=6)
    runs = plan(closure, (0, 1, 3), (0, 12), (0, 1, 4, 6))
    rng = np.random.default_rng(7)
    run, step = places(runs, 3)
    beta, alpha = rng.normal(size=(2, closure.fine))
    true = readings(closure, runs, run, step, beta, alpha)
    first = adjust(closure, runs, gather(run, step, true))
    at = first.measured("lower").at
    np.testing.assert_allclose(first.measured("lower").from_first.value, beta[at] - beta[0], atol=1e-9)
    sessions = 4000
    drawn = np.empty((sessions, len(at)))
    for i in range(sessions):
        noisy = adjust(closure, runs, gather(run, step, true + rng.normal(size=len(run))))
        drawn[i] = noisy.measured("lower").from_first.value - (beta[at] - beta[0])
    stated = first.measured("lower").from_first.root
    moving = stated > 0
    scatter = drawn[:, moving].std(axis=0)
    np.testing.assert_allclose(scatter / stated[moving], 1.0, atol=4 / np.sqrt(2 * sessions))
    assert np.all(np.abs(drawn[:, moving].mean(axis=0)) < 4 * stated[moving] / np.sqrt(sessions))


def test_the_same_circles_by_complete_closure() -> None:
    """Every fine position at all offsets, n² readings, and the arcs: the same errors within what both leave open."""
    coarse, fine = Closure(4, subdivision=6), Closure(24)
    rng = np.random.default_rng(11)
    beta, alpha = rng.normal(size=(2, 24))
    run, step = (x.ravel() for x in np.meshgrid(np.arange(24), np.arange(24), indexing="ij"))
    value = beta[step] + alpha[(run - step) % 24] + 2.0 * run
    sigma = 0.01
    complete = adjust(fine, np.arange(24), gather(run, step, value + sigma * rng.normal(size=len(run))))
    runs = plan(coarse, (0, 1, 2, 3), (0, 6, 12, 18), (0, 1, 4, 6))
    run, step = places(runs, 4)
    exact = readings(coarse, runs, run, step, beta, alpha)
    arcs_found = adjust(coarse, runs, gather(run, step, exact + sigma * rng.normal(size=len(run))))
    assert len(run) < 24 * 24 / 4
    for name in ("lower", "upper"):
        ours = arcs_found.measured(name)
        assert len(ours.at) == 24
        theirs = getattr(complete, name).from_first
        apart = ours.from_first.value - theirs.value
        allowed = sigma * np.hypot(ours.from_first.root, theirs.root)
        assert np.all(np.abs(apart) <= 4 * allowed)
        assert np.any(np.abs(apart) > 0.2 * allowed)


def test_bad_readings_over_an_arc_are_named() -> None:
    closure = Closure(12, subdivision=10)
    runs = plan(closure, (0, 1, 4), (20,), (0, 1, 4, 7, 10))
    rng = np.random.default_rng(3)
    beta, alpha = rng.normal(size=(2, closure.fine)) * 0.5
    run, step = places(runs, 3)
    value = np.round(readings(closure, runs, run, step, beta, alpha) + 0.02 * rng.normal(size=len(run)), 2)

    assert not screened(closure, runs, run, step, value)
    slipped = value.copy()
    bad = int(np.flatnonzero((run == 5) & (step == 6))[0])
    slipped[bad] = -slipped[bad]
    (flag,) = screened(closure, runs, run, step, slipped)
    assert (flag.run, flag.step, flag.suggestion) == (5, 6, "sign")
    assert flag.suggested_value == pytest.approx(value[bad])

    off = Change(6, "run shifted", 0, 1)
    here = run == 6
    offset, at = runs.setting(run[here], step[here])
    turned, moved, _ = settings(closure, runs, off, at)
    shifted = value.copy()
    shifted[here] = np.round(
        beta[closure.lower(moved)]
        + alpha[closure.upper(turned, moved)]
        + 18
        + 0.02 * rng.normal(size=here.sum()),
        2,
    )
    assert np.all(closure.upper(turned, moved) == (closure.upper(offset, at) + 1) % closure.fine)
    (flag,) = screened(closure, runs, run, step, shifted)
    assert (flag.run, flag.suggestion, flag.moved) == (6, "run shifted", (0, 1))


def screened(closure, runs, run, step, value):  # type: ignore[no-untyped-def]
    cells: Cells = gather(run, step, value)
    given = Readings(run, step, value, np.arange(1, len(run) + 1), np.zeros(len(run), dtype=bool))
    return screen(adjust(closure, runs, cells), runs, cells, given).flags


@pytest.mark.parametrize("start", [0, 3, 6])
def test_circles_confused_at_the_start_of_an_arc_wherever_it_lies(start: int) -> None:
    """The upper circle set to `start` and the lower one to where the upper should stand, then stepped as planned."""
    closure = Closure(4, subdivision=3)
    whole = [(at, offset) for at in (0, 3, 6, 9) for offset in range(12)]
    pairs = np.array([(start, (2 * start + 5) % 12), *whole], dtype=np.int64)
    runs = Runs.of(closure, np.array([0, 1])).join(arcs(closure, pairs[:, 0], pairs[:, 1]))
    lower, upper = start, start + 5
    (change,) = (
        each for each in possible(closure, runs, 2) if each.name == "circles confused" and each.lower
    )
    assert (change.lower % 12, change.upper % 12) == (5, 7)
    _, at = runs.setting(np.full(4, 2), np.arange(4))
    turned, moved, sign = settings(closure, runs, change, at)
    assert sign == 1
    np.testing.assert_array_equal(closure.lower(moved), (upper + np.arange(4)) % 12)
    np.testing.assert_array_equal(closure.upper(turned, moved), (lower - np.arange(4)) % 12)


def test_what_is_refused() -> None:
    with pytest.raises(Refused, match="read by position"):
        Closure(12, subdivision=3, reading="interval")
    with pytest.raises(Refused, match="divided into 0"):
        Closure(12, subdivision=0)
    closure = Closure(4, subdivision=3)
    runs = plan(closure, (0, 1), (0,), (0, 1))
    with pytest.raises(Refused, match=r"steps 0 … 4"):
        adjust(closure, runs, gather(np.array([2]), np.array([5]), np.zeros(1), runs=4))
    with pytest.raises(Refused, match="4 runs"):
        adjust(closure, runs, gather(np.array([4]), np.array([0]), np.zeros(1), runs=5))


def test_a_position_that_no_run_stops_at_is_not_determined() -> None:
    closure = Closure(4, subdivision=3)
    runs = plan(closure, (0, 1), (0,), (0, 1))
    found = solved(closure, runs)
    asked = found.predict(np.array([0, 0]), np.array([7, 3]), np.array([0, 0]))
    assert np.isnan(asked.value[0])
    assert np.isfinite(asked.value[1])


def small() -> Adjustment:
    """Return noise adjusted: four positions, and the first interval in three fine steps."""
    closure = Closure(4, subdivision=3)
    runs = plan(closure, (0, 1), (0,), (0, 1, 2))
    run, _ = places(runs, 2)
    return solved(closure, runs, 2, np.random.default_rng(8).normal(size=len(run)))


def test_predictions_stop_where_either_circle_is_not_measured() -> None:
    """Positions 0 to 3 and the coarse ones 6 and 9 are measured of each circle; 4, say, is not."""
    found = small()
    closure = found.closure
    lower, upper = (set(found.measured(name).at.tolist()) for name in ("lower", "upper"))
    at = np.arange(closure.fine)
    for offset in range(closure.fine):
        asked = found.predict(np.full(len(at), offset), at, np.zeros(len(at), dtype=np.int64))
        for position, value in zip(at, asked.value, strict=True):
            measured = position in lower and (offset - position) % closure.fine in upper
            assert np.isfinite(value) == measured, (offset, position)


def test_the_difference_of_any_two_positions() -> None:
    found = small()
    to, start = (each.ravel() for each in np.meshgrid(np.arange(12), np.arange(12)))
    for name in ("lower", "upper"):
        fine = found.measured(name)
        error = np.full(12, np.nan)
        error[fine.at] = fine.position.value
        np.testing.assert_array_equal(fine.position_at(np.arange(12)).value, error)
        asked = between(found, name, to, start)
        np.testing.assert_allclose(asked.value, error[to] - error[start], atol=1e-12)
        np.testing.assert_array_equal(np.isfinite(asked.root), np.isfinite(error[to] - error[start]))
        first = asked.root[start == 0][fine.at]
        np.testing.assert_allclose(first, fine.from_first.root, atol=1e-12)


def test_a_wholly_divided_circle_is_that_circle() -> None:
    """With no arcs, a divided closure gives what the plain one gives."""
    rng = np.random.default_rng(5)
    run, step = (x.ravel() for x in np.meshgrid(np.arange(3), np.arange(13), indexing="ij"))
    cells = gather(run, step, rng.normal(size=len(run)))
    plain = adjust(Closure(12), np.array([0, 1, 4]), cells)
    divided = adjust(Closure(12, subdivision=30), np.array([0, 1, 4]), cells)
    for name in ("lower", "upper"):
        one, other = getattr(plain, name), getattr(divided, name)
        for kind in ("position", "from_first", "interval"):
            np.testing.assert_allclose(getattr(one, kind).value, getattr(other, kind).value, atol=1e-12)
            np.testing.assert_allclose(getattr(one, kind).root, getattr(other, kind).root, atol=1e-12)
