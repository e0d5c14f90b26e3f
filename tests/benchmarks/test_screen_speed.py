"""What the screen costs, as ratios of one run: python -m pytest tests/benchmarks/test_screen_speed.py -s."""

from __future__ import annotations

import os
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from statistics import median

import numpy as np
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.pilot import Pilot
from textual.widgets import DataTable

from tests.tui.widget_demo import Bench, Numbers, Stage, errors, results
from tui.widgets.digits import Digits
from tui.widgets.plot import ErrorPlot, PlotView
from tui.widgets.results import Results, ResultsView

#: Seconds of a frame at 60 frames a second.
FRAME = 1 / 60


class Desk(Bench):
    """Matrix, digits, results and plot side by side; a reading is stored, then everything is shown in one batch."""

    CSS = "Vertical { width: 1fr; }"

    def __init__(self, source: Numbers, record: Path) -> None:
        super().__init__(source)
        self.record = record
        self.results: ResultsView = results(source.runs)
        self.errors: PlotView = errors(source.runs)

    def compose(self) -> ComposeResult:
        with Horizontal():
            with Vertical():
                yield self.matrix
                yield Digits()
            with Vertical():
                yield Results()
                yield ErrorPlot()

    def take(self, value: float) -> None:
        with self.record.open("ab") as file:
            file.write(f"value = {value}\n".encode())
            file.flush()
            os.fsync(file.fileno())
        shift = value / 1000
        self.results = replace(self.results, lower=self.results.lower + shift, done=self.results.done + 1)
        self.errors = replace(self.errors, lower=self.errors.lower + shift)
        with self.batch_update():
            super().take(value)
            self.query_one(Digits).show(f"{value:+.2f}", "")
            self.query_one(Results).show(self.results)
            self.query_one(ErrorPlot).show(self.errors)


class TableOfCells(Stage):
    """The peer: Textual's own table, which keeps every cell."""

    def __init__(self, runs: int, steps: int) -> None:
        super().__init__(DataTable())
        self.runs, self.steps = runs, steps

    def on_mount(self) -> None:
        table = self.query_one(DataTable)
        table.add_columns(*(f"run {run}" for run in range(self.runs)))
        for _ in range(self.steps):
            table.add_row(*["+0.00"] * self.runs)


async def seconds(pilot: Pilot[None], act: Callable[[int], None], times: int = 40) -> float:
    """Return the median time from an act until its repaint is done."""
    taken = []
    for number in range(times):
        await pilot.pause()
        begun = time.perf_counter()
        act(number)
        await painted(pilot)
        taken.append(time.perf_counter() - begun)
    return median(taken)


async def painted(pilot: Pilot[None]) -> None:
    """Wait until every widget has dealt with its messages and the screen has been painted."""
    await pilot._wait_for_screen()
    pilot.app.screen._on_timer_update()


async def one_cell(runs: int, steps: int) -> float:
    source = Numbers(runs, steps, fill=0.0)
    app = Bench(source)

    def change(number: int) -> None:
        source.values[1, 1 + number % 5] = number
        app.matrix.refresh_cell(1, 1 + number % 5)

    async with app.run_test(size=(120, 36)) as pilot:
        return await seconds(pilot, change)


async def one_cell_of_a_table(runs: int, steps: int) -> float:
    app = TableOfCells(runs, steps)

    def change(number: int) -> None:
        table = app.query_one(DataTable)
        table.update_cell_at((1, 1), f"{number:+.2f}", update_width=True)  # type: ignore[arg-type]

    async with app.run_test(size=(120, 36)) as pilot:
        return await seconds(pilot, change, times=8)


async def nothing(runs: int, steps: int) -> float:
    async with Bench(Numbers(runs, steps, fill=0.0)).run_test(size=(120, 36)) as pilot:
        return await seconds(pilot, lambda _: None)


async def test_one_cell_costs_the_same_at_any_size() -> None:
    sizes = [(12, 13), (72, 73), (360, 361)]
    cells = [await one_cell(*size) for size in sizes]
    empty = await nothing(12, 13)
    table = await one_cell_of_a_table(72, 73)
    print(f"\none cell, against 12 x 12: {cells[1] / cells[0]:.2f} at 72, {cells[2] / cells[0]:.2f} at 360")
    print(
        f"one cell at 72 against a repaint of nothing: {cells[1] / empty:.2f}; a table of cells: {table / cells[1]:.1f}"
    )
    print(f"one cell at 360 in frames: {cells[2] / FRAME:.3f}")


async def test_enter_to_everything_painted(tmp_path: Path) -> None:
    for n in (12, 72, 360):
        app = Desk(Numbers(n, n + 1, fill=0.0), tmp_path / f"record-{n}")
        async with app.run_test(size=(160, 45)) as pilot:
            await app.workers.wait_for_complete()
            taken = await seconds(pilot, lambda number, app=app: app.take(number / 10))
        print(f"\nEnter to everything painted at {n} x {n}, in frames: {taken / FRAME:.2f}", end="")
    print()


async def test_burst(tmp_path: Path) -> None:
    values = np.round(np.random.default_rng(1).normal(0, 5, 100), 2)
    app = Desk(Numbers(72, 73), tmp_path / "record")
    async with app.run_test(size=(160, 45)) as pilot:
        await app.workers.wait_for_complete()
        begun = time.perf_counter()
        app.press_at_once("".join(f"{value}\n" for value in values))
        await pilot.pause()
        taken = time.perf_counter() - begun
        right = int(np.sum(app.source.values.ravel()[:100] == values))
    assert right == 100
    print(f"\n100 readings at full speed: {right} right, frames for each {taken / 100 / FRAME:.2f}")


def test_plot_of_many_positions() -> None:
    from tui.widgets.canvas import draw
    from tui.widgets.chart import panels
    from tui.widgets.marks import UNICODE

    costs = {}
    for n in (12, 72, 360):
        view = errors(n)
        taken = []
        for _ in range(30):
            begun = time.perf_counter()
            for panel in panels(view, 78, 20, UNICODE, fine=True):
                draw(panel.frame, panel.points)
            taken.append(time.perf_counter() - begun)
        costs[n] = median(taken)
    print(f"\nplot in frames: {', '.join(f'{cost / FRAME:.2f} at {n}' for n, cost in costs.items())}")
