"""The walk: its figures follow from the simulated example, whichever it is, and it can be leafed through."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest
from textual.containers import VerticalScroll

from sessions.practice.principle import N, Principle
from solver.closure import Closure
from solver.rows import rows
from tests.tui.front import front, painted, settled
from tui.screens.start import StartScreen
from tui.screens.walk import WalkScreen
from tui.walk_pages import Page, Walk
from tui.widgets.marks import ASCII, UNICODE

SEEDS = range(1, 21)
SIXTEEN, UPPER, LOWER, SCATTER = 3, 4, 5, 6


def text(page: Page) -> str:
    """Return all that stands on a page."""
    blocks = [
        block if isinstance(block, str) else "\n".join("".join(piece for _, piece in line) for line in block)
        for block in page.blocks
    ]
    return "\n".join([page.heading, *blocks])


@pytest.mark.parametrize("seed", SEEDS)
def test_the_example_is_a_complete_closure(seed: int) -> None:
    """Four-position complete closure by "interval" (design document, section 2: common practice)."""
    example = Principle.of(seed)
    assert example.lower.sum() == pytest.approx(0, abs=1e-12)
    assert example.upper.sum() == pytest.approx(0, abs=1e-12)
    # Every lower interval meets every upper one once.
    assert {(t, int(j)) for t in range(N) for j in example.met[t]} == {
        (t, j) for t in range(N) for j in range(1, N + 1)
    }
    # The four readings that hold one interval sum to four times its error, with the sign of the contract.
    for j in range(1, N + 1):
        four = example.exact[np.arange(N), example.with_upper(j)]
        assert four.sum() == pytest.approx(-4 * example.upper[j - 1])
    assert example.exact.sum(axis=1) == pytest.approx(4 * example.lower)
    # The readings are those of the solver's model.
    step, run = (axis.ravel() for axis in np.mgrid[1 : N + 1, 0:N])
    design = rows(Closure(N, reading="interval"), run, step, run)
    positions = np.concatenate([[0], np.cumsum(example.lower[:-1]), [0], np.cumsum(example.upper[:-1])])
    assert design.times(positions) == pytest.approx(example.exact.ravel())


@pytest.mark.parametrize("seed", SEEDS)
def test_the_solved_errors_hold_the_truth_and_their_variance_is_that_of_the_table(seed: int) -> None:
    """σ²(n−1)/n² for an interval error of a complete closure by "interval" (design document, section 2)."""
    example = Principle.of(seed)
    found = example.solved()
    assert (found.rank, found.degrees_of_freedom) == (2 * N - 2, 10)
    assert found.lower.interval.root**2 == pytest.approx(np.full(N, 3 / 16))
    assert found.upper is not None
    for circle, true in ((found.lower, example.lower), (found.upper, example.upper)):
        # Five standard uncertainties by the true scatter: no chance of failing in the numbers that are tried.
        assert np.abs(circle.interval.value - true).max() < 5 * 0.03 * np.sqrt(3 / 16)


@pytest.mark.parametrize("signs", [UNICODE, ASCII])
@pytest.mark.parametrize("seed", SEEDS)
def test_the_sums_on_the_pages_are_right(seed: int, signs: object) -> None:
    """What is printed is added up again, from the page alone."""
    example = Principle.of(seed)
    for interval in range(1, N + 1):
        walk = Walk(example, signs, interval)  # type: ignore[arg-type]
        for number, divisor, true in (
            (UPPER, -4, example.upper[interval - 1]),
            (LOWER, 4, example.lower[interval - 1]),
        ):
            page = text(walk.page(number)).replace("−", "-")
            marked = [float(each) for each in re.findall(r"\* *([+-]?[0-9.]+) \(", page)]
            assert len(marked) == 4
            line = next(
                each for each in page.splitlines() if re.match(r" +[+-]?[0-9.]+ [+-] [0-9.]+ [+-]", each)
            )
            added, total = line.replace(" ", "").split("=")
            assert [float(each) for each in re.findall(r"[+-]?[0-9.]+", added)] == pytest.approx(marked)
            assert float(total) == pytest.approx(sum(marked))
            result = float(next(each for each in page.splitlines() if f"/ {divisor}" in each).split("=")[-1])
            assert result == pytest.approx(true) == pytest.approx(float(total) / divisor)
            assert f"True is {'+' if true > 0 else '-'}{abs(true):.1f}." in page


def test_the_pages_follow_the_example() -> None:
    one, other = (Walk(Principle.of(seed), UNICODE, 1) for seed in (1, 2))
    assert len(one) == 8
    changed = [number for number in range(8) if text(one.page(number)) != text(other.page(number))]
    assert changed == [1, 2, SIXTEEN, UPPER, LOWER, SCATTER]
    assert {number for number in range(8) if one.page(number).chosen} == {UPPER, LOWER}


async def test_leafed_through_by_keys(tmp_path: Path) -> None:
    app = front(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        app.push_screen(WalkScreen())
        await pilot.pause()
        screen = app.screen
        assert isinstance(screen, WalkScreen)
        headings = []
        for number in range(8):
            assert screen.page_number == number
            assert f"page {number + 1} of 8" in painted(app)
            headings.append(text(screen._walk.page(number)).splitlines()[0])
            assert headings[-1] in painted(app)
            # A page is a page: nothing has to be scrolled on the smallest screen.
            scroll = screen.query_one(VerticalScroll)
            assert scroll.max_scroll_y == 0
            await pilot.press("enter" if number % 2 else "right")
            await pilot.pause()
        assert len(set(headings)) == 8
        assert isinstance(app.screen, StartScreen)


async def test_back_another_interval_and_other_numbers(tmp_path: Path) -> None:
    app = front(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        app.push_screen(WalkScreen())
        await pilot.pause()
        screen = app.screen
        assert isinstance(screen, WalkScreen)
        await pilot.press("left", *["space"] * 5, "left")
        await pilot.pause()
        assert screen.page_number == UPPER
        assert "hold upper interval 1" in painted(app)
        await pilot.press("3")
        await pilot.pause()
        before = painted(app)
        assert "hold upper interval 3" in before
        await pilot.press("r")
        await pilot.pause()
        assert screen.page_number == UPPER
        assert painted(app) != before
        await pilot.press("escape")
        await pilot.pause()
        assert isinstance(app.screen, StartScreen)
