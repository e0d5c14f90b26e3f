"""`fullturn solve --json` on files written by hand, against a dense pseudo-inverse of the formulas of a reading.

Nothing here uses the program's own model: the file is put together as text, the design matrix from the formulas
(as solver/closure.py states them), and what is determined comes from the null space by numpy's SVD
(general-purpose reference library).
"""

from __future__ import annotations

import json
import math
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from tui.cli import main

Vector = NDArray[np.float64]
ARCSEC_PER_URAD = 648000 / math.pi / 1e6


@dataclass
class Written:
    """A session file put together as text, and what counts of it."""

    design: dict[str, Any]
    instrument: dict[str, Any]
    entries: list[str] = field(default_factory=list)
    cells: dict[tuple[int, int], dict[int, float]] = field(default_factory=dict)

    def add(self, kind: str, **values: object) -> int:
        number = len(self.entries) + 1
        lines = [f'\n[[entry]]\nkind = "{kind}"\ntime = 2026-03-02T08:52:10+00:00']
        lines += [f"{key} = {json.dumps(value)}" for key, value in values.items()]
        self.entries.append("\n".join([*lines, f"end = {number}\n"]))
        return number

    def read(self, run: int, step: int, value: float) -> None:
        number = self.add("reading", run=run, step=step, value=value)
        self.cells.setdefault((run, step), {})[number] = value

    def text(self) -> str:
        lines = ['format = "fullturn session"', "version = 1"]
        for name, table in (("design", self.design), ("instrument", self.instrument)):
            lines += [f"[{name}]", *(f"{key} = {json.dumps(value)}" for key, value in table.items())]
        return "\n".join([*lines, *self.entries])

    @property
    def runs(self) -> list[tuple[int, str]]:
        ways = ["forward", "return"] if self.design["direction"] == "forward and return" else ["forward"]
        return [(offset, way) for offset in self.design["offsets"] for way in ways]


def any_session(chance: np.random.Generator) -> Written:
    """Make up a session of any kind, with gaps, repeats, strikes and restored readings."""
    n = int(chance.integers(2, 9))
    single = chance.random() < 0.2
    by_position = not single and chance.random() < 0.5
    closing = by_position and chance.random() < 0.6
    count = int(chance.integers(1, n + 2))
    offsets = chance.integers(0, n, count) if chance.random() < 0.4 else chance.permutation(n)[:count]
    written = Written(
        design={
            "closure": "single" if single else "dual",
            "reading": "position" if by_position else "interval",
            "arrangement": ["counter-rotating", "face by face"][int(chance.integers(2))],
            "positions": n,
            "offsets": [0] * count if single else offsets.tolist(),
            "direction": "forward and return" if by_position and chance.random() < 0.4 else "forward",
            "closing": closing,
            "drift": "linear" if not single and chance.random() < 0.5 else "none",
        },
        instrument={
            "unit": ["arcsec", "urad"][int(chance.integers(2))],
            "polarity": [1, -1][int(chance.integers(2))],
        },
    )
    if chance.random() < 0.4:
        written.instrument["accepted_sd"] = 0.07
    first, last = (0, n if closing else n - 1) if by_position else (1, n)
    for run in range(len(written.runs)):
        for step in range(first, last + 1):
            for _ in range(int(chance.integers(1, 3)) if chance.random() < 0.9 else 0):
                written.read(run, step, round(float(chance.normal()), 2))
    for (run, step), cell in list(written.cells.items()):
        for number in list(cell):
            if chance.random() < 0.05:
                written.add("strike", entry=number, reason="door opened")
                if chance.random() < 0.3:
                    written.add("restore", entry=number)
                else:
                    del written.cells[run, step][number]
    return written


class Dense:
    """The readings of a session as one linear model: lower errors, upper errors, constants, drifts, fixed angle."""

    def __init__(self, written: Written) -> None:
        design, self.n = written.design, written.design["positions"]
        self.single = design["closure"] == "single"
        self.by_position, self.drift = design["reading"] == "position", design["drift"] == "linear"
        self.facing = design["arrangement"] == "face by face"
        self.polarity = written.instrument["polarity"]
        self.scale = 1.0 if written.instrument["unit"] == "arcsec" else ARCSEC_PER_URAD
        runs = len(written.runs)
        self.constants = self.n * (1 if self.single else 2)
        self.drifts = self.constants + (runs if self.by_position else 0)
        self.columns = self.drifts + (runs if self.drift else 0) + self.single
        filled = {place: list(cell.values()) for place, cell in sorted(written.cells.items()) if cell}
        self.mean = {place: self.scale * float(np.mean(values)) for place, values in filled.items()}
        self.matrix = np.array(
            [self.row(written.runs[run][0], run, step) for run, step in filled], dtype=float
        ).reshape(-1, self.columns)
        y = np.array(list(self.mean.values()))
        singular, right = (
            np.linalg.svd(self.matrix, full_matrices=True)[1:] if len(y) else ([], np.eye(self.columns))
        )
        self.rank = int(np.sum(np.array(singular) > 1e-9))
        self.null = right[self.rank :]
        inverse = np.linalg.pinv(self.matrix, rcond=1e-10)
        self.solution, self.cofactor = inverse @ y, inverse @ inverse.T
        self.freedom = len(y) - self.rank
        residual = y - self.matrix @ self.solution
        accepted = written.instrument.get("accepted_sd")
        self.deviation = None if accepted is None else accepted * self.scale
        if self.freedom:
            self.deviation = math.sqrt(residual @ residual / self.freedom)

    def row(self, offset: int, run: int, step: int) -> Vector:
        """One reading: p (β[t] + α[k−t]) + c + g t counter-rotating, p (β[t] − α[k+t]) + c + g t face by face."""
        row = np.zeros(self.columns)
        if self.by_position:
            self.setting(row, offset, step, 1.0)
            row[self.constants + run] = 1.0
        else:  # one position setting against the one before
            self.setting(row, offset, step, 1.0)
            self.setting(row, offset, step - 1, -1.0)
        if self.single:
            row[-1] = -self.polarity
        if self.drift:
            row[self.drifts + run] = step if self.by_position else 1.0
        return row

    def setting(self, row: Vector, offset: int, step: int, factor: float) -> None:
        row[step % self.n] += factor * self.polarity
        if not self.single:
            upper, sign = (offset + step, -1) if self.facing else (offset - step, 1)
            row[self.n + upper % self.n] += factor * sign * self.polarity

    def about_mean(self, circle: int, position: int) -> Vector:
        wanted = np.zeros(self.columns)
        wanted[circle * self.n : (circle + 1) * self.n] -= 1 / self.n
        wanted[circle * self.n + position] += 1.0
        return wanted

    def value(self, wanted: Vector) -> float | None:
        size = float(np.linalg.norm(wanted))
        if size > 1e-12 and np.linalg.norm(self.null @ wanted) > 1e-8 * size:
            return None
        return float(wanted @ self.solution)

    def uncertainty(self, wanted: Vector) -> float | None:
        if self.value(wanted) is None or self.deviation is None:
            return None
        return self.deviation * math.sqrt(max(float(wanted @ self.cofactor @ wanted), 0.0))


def same(obtained: float | None, expected: float | None) -> bool:
    if obtained is None or expected is None:
        return obtained is expected
    return math.isclose(obtained, expected, rel_tol=1e-9, abs_tol=1e-7)


@pytest.mark.parametrize("seed", range(120))
def test_solve_says_what_the_formulas_say(
    seed: int, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    written = any_session(np.random.default_rng(seed))
    path = tmp_path / "s.toml"
    path.write_text(written.text(), encoding="utf-8")
    assert main(["solve", str(path), "--json"]) in (0, 1)
    made = json.loads(capsys.readouterr().out)
    dense = Dense(written)
    assert (made["rank"], made["degrees_of_freedom"]) == (dense.rank, dense.freedom)
    assert same(made["standard_deviation"], dense.deviation if dense.freedom else None)
    for circle, name in enumerate(["lower"] if dense.single else ["lower", "upper"]):
        solved = made["circles"][name]
        for position in range(dense.n):
            about_mean = dense.about_mean(circle, position)
            first = about_mean - dense.about_mean(circle, 0)
            interval = dense.about_mean(circle, (position + 1) % dense.n) - about_mean
            for wanted, key, uncertainty in (
                (about_mean, "position_error", "standard_uncertainty"),
                (first, "from_first", "from_first_standard_uncertainty"),
                (interval, "interval_error", "interval_standard_uncertainty"),
            ):
                assert same(solved[key][position], dense.value(wanted)), (name, key, position)
                if position or wanted is not first:
                    assert same(solved[uncertainty][position], dense.uncertainty(wanted)), (
                        name,
                        key,
                        position,
                    )
    for number, (run, (offset, way)) in enumerate(zip(made["runs"], written.runs, strict=True)):
        assert (run["offset"], run["direction"]) == (offset, way)
        ends = dense.mean.get((number, dense.n)), dense.mean.get((number, 0))
        whole = dense.by_position and None not in ends
        assert same(run["closing_misfit"], ends[0] - ends[1] if whole else None)
        if dense.drift:
            assert same(run["drift"], dense.value(np.eye(dense.columns)[dense.drifts + number]))
    if dense.single:
        assert same(made["reference_angle_error"], dense.value(np.eye(dense.columns)[-1]))
