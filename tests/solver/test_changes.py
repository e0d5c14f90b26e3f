"""What a run that is not what it is called would mean, setting by setting: from the definitions, not by way of fits.

Source: section 2 of the design document (which positions a reading compares), definitions in `solver.changes.Change`.
"""

from __future__ import annotations

from itertools import product
from typing import Any

import numpy as np
import pytest

from solver.case import Case
from solver.changes import Change, changed, possible, settings
from solver.closure import Closure
from solver.runs import Runs
from tests.solver.invented import session

N = 7
DUAL = [
    {"arrangement": arrangement, "reading": reading}
    for arrangement, reading in product(("counter-rotating", "face by face"), ("position", "interval"))
]

Places = tuple[list[int], list[int]]


def stood(closure: Closure, offset: Any, step: Any) -> Places:
    """Return lower and upper positions at steps."""
    return closure.lower(step).tolist(), closure.upper(offset, step).tolist()


def taken(kind: dict[str, str], run: int) -> tuple[Closure, Runs, Any, Any]:
    """Return offsets and steps of a run of a complete closure, and what they belong to."""
    closure = Closure(N, **kind)  # type: ignore[arg-type]
    runs = Runs.of(closure, np.arange(N))
    step = np.arange(closure.first_step, N + 1)
    return closure, runs, *runs.setting(np.full(len(step), run), step)


@pytest.mark.parametrize("kind", DUAL, ids=lambda kind: "-".join(kind.values()))
@pytest.mark.parametrize("run", [0, 3, 6])
def test_shifted_circles_stand_so_many_positions_further_on(kind: dict[str, str], run: int) -> None:
    closure, runs, offset, step = taken(kind, run)
    lower, upper = stood(closure, offset, step)
    shifted = [each for each in possible(closure, runs, run) if each.name == "run shifted"]
    assert {(each.lower, each.upper) for each in shifted} == set(product((-1, 0, 1), repeat=2)) - {(0, 0)}
    for change in shifted:
        turned, moved, sign = settings(closure, runs, change, step)
        expected = [(i + change.lower) % N for i in lower], [(i + change.upper) % N for i in upper]
        assert (stood(closure, turned, moved), sign) == (expected, 1)


@pytest.mark.parametrize("kind", DUAL, ids=lambda kind: "-".join(kind.values()))
@pytest.mark.parametrize("run", [1, 3, 6])
def test_confused_circles_stand_where_the_other_should(kind: dict[str, str], run: int) -> None:
    closure, runs, offset, step = taken(kind, run)
    turned, moved, sign = settings(closure, runs, Change(run, "circles confused"), step)
    here, before = stood(closure, offset, step)[::-1], stood(closure, offset, step - 1)[::-1]
    if kind["reading"] == "position":
        assert (stood(closure, turned, moved), sign) == (here, 1)
    else:
        # An interval goes from one setting to the next; crossed the other way it has the opposite sign.
        start, end = stood(closure, turned, moved - 1), stood(closure, turned, moved)
        assert (start, end) == ((before, here) if sign == 1 else (here, before))


@pytest.mark.parametrize("reading", ["position", "interval"])
def test_an_offset_set_on_the_lower_circle(reading: str) -> None:
    """Counter-rotating: lower at k and upper at 0 to begin with, then stepped as ever."""
    closure = Closure(N, reading=reading)  # type: ignore[arg-type]
    runs = Runs.of(closure, np.arange(N))
    step = np.arange(closure.first_step, N + 1)
    for run in range(N):
        offered = [
            each for each in possible(closure, runs, run) if each.name == "circles confused" and each.lower
        ]
        # At offsets 0, 1 and n - 1 that is nothing new: as recorded, or both circles shifted by one.
        assert len(offered) == (run not in (0, 1, N - 1))
        for change in offered:
            turned, moved, sign = settings(closure, runs, change, step)
            expected = ((step + run) % N).tolist(), (-step % N).tolist()
            assert (stood(closure, turned, moved), sign) == (expected, 1)


@pytest.mark.parametrize("kind", DUAL, ids=lambda kind: "-".join(kind.values()))
def test_no_supposition_says_what_is_recorded(kind: dict[str, str]) -> None:
    """Face by face at offset 0 both circles stand at the same position: there is nothing to confuse."""
    for run in range(N):
        closure, runs, offset, step = taken(kind, run)
        offered = possible(closure, runs, run)
        for change in offered:
            turned, moved, sign = settings(closure, runs, change, step)
            assert (stood(closure, turned, moved), sign) != (stood(closure, offset, step), 1)
        same = run == 0 and kind["arrangement"] == "face by face"
        assert any(change.name == "circles confused" for change in offered) == (not same)


def test_under_the_other_polarity_a_run_is_predicted_with_the_opposite_sign() -> None:
    drawn = session(np.random.default_rng(9), tuple(range(N)), positions=N, sigma=0.0, resolution=None)
    case = changed(Case.of(drawn.closure, drawn.offset, drawn.cells), Change(2, "polarity"))
    here = drawn.readings.run == 2
    typed = np.where(here, -drawn.readings.typed, drawn.readings.typed)
    turned = drawn.typed(slice(None), typed)
    found = changed(Case.of(turned.closure, turned.offset, turned.cells), Change(2, "polarity")).solved()
    assert case.sign[here].tolist() == [-1] * int(here.sum())
    for which, sign in ((here, -1), (~here, 1)):
        value = found.predict(case.offset[which], case.step[which], case.group[which], case.time[which]).value
        np.testing.assert_allclose(value, sign * typed[which], atol=1e-9)
